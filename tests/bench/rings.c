/* The arithmetic of beltpath.path.ring as a plain loop over drives.
   DRIVE_MAJOR: the pulleys of a drive lie together; otherwise the drives of a pulley do.
   QUARTER_ANGLE: the turn as beltpath.sweep takes it, with the C library's arctangent. */
#include <math.h>

#define MOST 64
#ifdef DRIVE_MAJOR
#define AT(i) (row * pulleys + (i))
#else
#define AT(i) ((i) * rows + row)
#endif

static const double TURN = 6.283185307179586;

static double turn(double ax, double ay, double bx, double by, double sign)
{
#ifdef QUARTER_ANGLE
    double ex = bx - ax, ey = by - ay, square = ex * ex + ey * ey;
    double below = square + 2 * sqrt(square);
    if (square < 1e-18)
        return 0;
    return TURN / 2 - 4 * atan(sign * 2 * (bx * ey - by * ex) / below);
#else
    double angle = sign * atan2(ax * by - ay * bx, ax * bx + ay * by);
    if (angle >= 0)
        return angle;
    return angle > -1e-9 ? 0 : angle + TURN;
#endif
}

void rings(long pulleys, long rows, const double *restrict x, const double *restrict y,
           const double *restrict q, double *restrict lengths, double *restrict turning,
           double *restrict wraps, double *restrict spans, char *restrict ok)
{
    for (long row = 0; row < rows; row++) {
        double ux[MOST], uy[MOST], length = 0, turned = 0;
        int laid = 1;
        for (long i = 0; i < pulleys; i++) {
            long next = i + 1 == pulleys ? 0 : i + 1;
            double dx = x[AT(next)] - x[AT(i)], dy = y[AT(next)] - y[AT(i)];
            double rise = q[AT(next)] - q[AT(i)];
            double square = dx * dx + dy * dy, left = square - rise * rise;
            if (!(left > 0)) {
                laid = 0;
                break;
            }
            double span = sqrt(left);
            ux[i] = (span * dx + rise * dy) / square;
            uy[i] = (span * dy - rise * dx) / square;
            spans[AT(i)] = span;
            length += span;
        }
        for (long i = 0; laid && i < pulleys; i++) {
            long last = i ? i - 1 : pulleys - 1;
            double sign = q[AT(i)] < 0 ? -1 : 1;
            double wrap = turn(ux[last], uy[last], ux[i], uy[i], sign);
            wraps[AT(i)] = wrap;
            length += fabs(q[AT(i)]) * wrap;
            turned += sign * wrap;
        }
        for (long i = 0; !laid && i < pulleys; i++)
            spans[AT(i)] = wraps[AT(i)] = NAN;
        lengths[row] = laid ? length : NAN;
        turning[row] = laid ? turned : NAN;
        ok[row] = (char)laid;
    }
}
