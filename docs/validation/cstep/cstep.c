/* The single-bay equations of docs/theory.md as a plain C loop: a yardstick for
 * the speed of the Go step, and a second writing of the same equations.
 *
 *   gcc -O2 -o cstep cstep.c -lm && ./cstep
 *
 * One door of the default truck, alone on its feed, is opened and closed over and
 * over. Prints the times of the first opening and closing, and ns a step.
 * Left out: locks, encoder faults, obstruction, what wears, and the charge drawn
 * from the battery, whose voltage and resistance stay those of a full one at 20 °C.
 */
#include <math.h>
#include <stdio.h>
#include <time.h>

static const double pi = 3.14159265358979323846, g = 9.80665, dt = 1e-3;

struct contact { int asked, made, wait; };

struct bay {
	double y, v, theta, w, wm, temp;                /* m, m/s, rad, rad/s, rad/s of the motor, C */
	double cable, floor, current, feed, supply;     /* N, N, A, A, V */
	struct contact up, down, enable;
	double duty, heat;
	double wire, phase;                             /* m, pulses */
	long mark, pulses, net;
	int slow;
};

/* track */
static const double Hv = 1.70, R = 0.20, H = 1.80, L = 1.80;
static double cosa = 1, sina = 0;
/* curtain, counterbalance, closing spring, friction */
static const double m = 32, k = 2.48, n0 = 6.6, r = 0.050, Js = 0.02, shaft_dry = 0.1;
static const double kc = 130e3, cc = 300, f0 = 25, f1 = 25, running = 25, breakaway = 32, visc = 30;
/* drive */
static const double K = 0.030, Ra = 0.60, N = 50, eta = 0.6, motor_dry = 0.020, Jm = 8e-5, Rth = 3, Cth = 120;
/* seal and stops */
static const double soft = 12e3, flat = 0.024, hard = 400e3, seal_damp = 0.5, floor_k = 50e3, open_k = 50e3, stop_damp = 1;
/* supply */
static const double ocv = 12.65, source = 0.003088063066745353 + 0.0227 + 0.006, branch = 0.0249 + 0.003;
static const double accessory = 0.5, load = 0.15;
static const double pulses_per_m = 200, rewind_step = 1.0 * 1e-3;

static double height(double s)
{
	double roof = Hv + R * (pi / 2), z, x;
	if (s <= Hv)
		return s * cosa;
	if (s >= roof) {
		z = Hv + R;
		x = R + (s - roof);
	} else {
		double a = (s - Hv) / R;
		z = Hv + R * sin(a);
		x = R * (1 - cos(a));
	}
	return z * cosa + x * sina;
}

static double stick(double v, double limit)
{
	if (v > limit)
		return v - limit;
	if (v < -limit)
		return v + limit;
	return 0;
}

static double floor_push(double d, double rate)
{
	double s = 1 / (1 / soft + 1 / floor_k), h = 1 / (1 / hard + 1 / floor_k), f;
	if (d <= 0)
		return 0;
	f = s * d;
	if (f > soft * flat)
		f = soft * flat + h * (d - soft * flat / s);
	f *= 1 + seal_damp * rate;
	return f < 0 ? 0 : f;
}

static void ask(struct contact *c, int on)
{
	if (on == c->asked)
		return;
	c->asked = on;
	c->wait = (on ? 10 : 6) + 1;
}

static void follow(struct contact *c)
{
	if (c->wait > 0 && --c->wait == 0)
		c->made = c->asked;
}

static void step(struct bay *b, double ohm_inverse)
{
	double sign = 0, duty = 0, square, share, gain, conductance, loads, node, volts;
	double stretch, cable, net, dry, v, w, spring, torque, loss, wire, moved;
	int coasting = 0;

	follow(&b->up);
	follow(&b->down);
	follow(&b->enable);
	if (b->up.made != b->down.made) {
		if (!b->enable.made)
			coasting = 1;
		else {
			sign = b->up.made ? 1 : -1;
			duty = b->duty;
		}
	}

	/* supply */
	square = duty * duty * ohm_inverse;
	share = 1 / (1 + branch * square);
	conductance = square * share;
	gain = sign * duty * K * ohm_inverse;
	loads = (load - gain * b->wm) * share;
	node = (ocv - source * (accessory + loads)) / (1 + source * conductance);
	b->feed = conductance * node + loads;
	b->supply = node - branch * b->feed;
	volts = sign * duty * b->supply;
	b->current = coasting ? 0 : (volts - K * b->wm) * ohm_inverse;

	/* curtain */
	stretch = r * b->theta - b->y;
	cable = kc * stretch + cc * (r * b->w - b->v);
	if (cable < 0)
		cable = 0;
	b->cable = cable;
	net = cable - m * g / L * (height(b->y + L) - height(b->y)) - (f0 + f1 * b->y) - visc * b->v;
	b->floor = 0;
	if (b->y < 0)
		net += b->floor = floor_push(-b->y, -b->v);
	if (b->y > H) {
		double push = open_k * (b->y - H) * (1 + stop_damp * b->v);
		if (push > 0)
			net -= push;
	}
	dry = b->v == 0 ? breakaway : running;
	v = stick(b->v + net * (dt / m), dry * (dt / m));

	/* shaft and motor */
	spring = k * n0 - k / (2 * pi) * b->theta;
	if (spring < 0)
		spring = 0;
	torque = spring - r * cable;
	loss = shaft_dry + N * motor_dry + (1 / eta - 1) * fabs(torque);
	torque += N * K * b->current;
	w = stick(b->w + torque * (dt / (Js + N * N * Jm)), loss * (dt / (Js + N * N * Jm)));
	b->wm = N * w;
	if (sign == 0 && fabs(v) < 1e-8 && fabs(r * w) < 1e-8)
		v = w = b->wm = 0;
	b->v = v;
	b->w = w;
	b->y += v * dt;
	b->theta += w * dt;
	b->heat += b->current * b->current;

	/* encoder */
	wire = H - b->y;
	moved = wire - b->wire;
	if (moved < -rewind_step)
		moved = -rewind_step;
	b->wire += moved;
	b->phase -= moved * pulses_per_m;
	while (b->phase >= b->mark + 1) {
		b->mark++;
		b->pulses++;
		b->net++;
	}
	while (b->phase < b->mark - 0.25) {
		b->mark--;
		b->pulses++;
		b->net--;
	}
}

static double winding(const struct bay *b) { return Ra * (235 + b->temp) / 255; }

static void warm(struct bay *b)
{
	b->temp += (b->heat * dt * winding(b) - (b->temp - 20) / Rth * 0.1) / Cth;
	b->heat = 0;
}

static void command(struct bay *b, int up, int down, int enable)
{
	ask(&b->up, up);
	ask(&b->down, down);
	ask(&b->enable, enable);
	b->duty = enable;
}

int main(void)
{
	struct bay b = {.y = -0.006, .temp = 20};
	double ohm_inverse = 1 / winding(&b), best = 1e9, sum = 0;
	double push = floor_push(0.006, 0);
	long n, opened = 0, closing = 0, closed = 0;
	int up = 1, round;

	b.cable = m * g / L * (height(b.y + L) - height(b.y)) + f0 + f1 * b.y - push;
	b.theta = (b.y + b.cable / kc) / r;
	b.wire = H - b.y;
	b.phase = b.y * pulses_per_m;
	b.mark = (long)floor(b.phase);

	/* a second at rest, open to 1.78 m, a second off, close to 0.02 m */
	for (n = 0; !closed && n < 60000; n++) {
		if (n == 1000)
			command(&b, 1, 0, 1);
		if (!opened && b.y > 1.78) {
			opened = n;
			command(&b, 0, 0, 0);
		}
		if (opened && !closing && n == opened + 1000) {
			closing = n;
			command(&b, 0, 1, 1);
		}
		if (closing && b.y < 0.02)
			closed = n;
		step(&b, ohm_inverse);
		if (n % 100 == 99) {
			warm(&b);
			ohm_inverse = 1 / winding(&b);
		}
	}
	printf("opens in %.3f s, closes in %.3f s\n", (opened - 1000) * dt, (closed - closing) * dt);

	command(&b, 1, 0, 1);
	for (round = 0; round < 20; round++) {
		struct timespec t0, t1;
		const long steps = 1000000;
		double ns;
		clock_gettime(CLOCK_MONOTONIC, &t0);
		for (n = 0; n < steps; n++) {
			if ((n & 255) == 0) {
				if (b.y > 1.70)
					up = 0;
				if (b.y < 0.15)
					up = 1;
				command(&b, up, !up, 1);
			}
			step(&b, ohm_inverse);
			if (n % 100 == 99) {
				warm(&b);
				ohm_inverse = 1 / winding(&b);
			}
		}
		clock_gettime(CLOCK_MONOTONIC, &t1);
		ns = ((t1.tv_sec - t0.tv_sec) * 1e9 + (t1.tv_nsec - t0.tv_nsec)) / steps;
		if (ns < best)
			best = ns;
		sum += b.y;
	}
	printf("best of %d: %.1f ns a step (checksum %.6f)\n", round, best, sum);
	return 0;
}
