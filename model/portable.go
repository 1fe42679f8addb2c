package model

import "math"

// Elementary functions that give the same bits on every machine.
//
// The standard library computes exponentials in assembly on some processors
// and in Go on others, and a compiler may fuse a product with the sum that
// follows it. Either would let one seed give two results. The functions here
// use only operations that IEEE 754 rounds in one way (+ − × ÷, a fused
// multiply-add where it is asked for by name, moves of the exponent), and every
// product is rounded by an explicit conversion before it is added. A plain
// variable does not do: Go may fuse across an assignment.
//
// Their error against the exact value stays below 2 units in the last place
// over the ranges stated.

const (
	// ln 2 in two parts. The first has 32 significant bits, so that its product
	// with any exponent of a float64 is exact.
	ln2Hi = 6.93147180369123816490e-01
	ln2Lo = 1.90821492927058770002e-10
	log2e = 1.44269504088896338700e+00

	// π/2 and 1/ln 10, each as a float64 and what that float64 leaves out.
	halfPiHi    = 1.57079632679489655800e+00
	halfPiLo    = 6.12323399573676603587e-17
	perLn10Hi   = 4.34294481903251816668e-01
	perLn10Lo   = 1.09831965021676507e-17
	quarterPi   = 7.85398163397448309616e-01
	expOverflow = 7.09782712893383973096e+02
	expToZero   = -7.45133219101941108420e+02
)

// Exp returns e^x, the same bits on every machine. It is 0 below −745.13 and
// +Inf above 709.78; Exp(NaN) is NaN.
func Exp(x float64) float64 { return expP(x) }

// Log returns the natural logarithm of x, the same bits on every machine.
// Log(0) is −Inf; a negative x or NaN gives NaN.
func Log(x float64) float64 { return logP(x) }

// Log10 returns the decimal logarithm of x, the same bits on every machine.
// Log10(0) is −Inf; a negative x or NaN gives NaN.
func Log10(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 1) {
		return logP(x)
	}
	hi, lo := logTwoPart(x)
	p := float64(hi * perLn10Hi)
	tail := math.FMA(hi, perLn10Hi, -p)
	tail += float64(hi * perLn10Lo)
	tail += float64(lo * perLn10Hi)
	return p + tail
}

// Pow returns x^y for x >= 0, the same bits on every machine. Unlike math.Pow
// it takes no negative base: the result is then NaN, even for a whole y.
// The accuracy stated for this file holds while |y·ln x| < 100; beyond that the
// error grows in proportion.
func Pow(x, y float64) float64 { return powP(x, y) }

// expP splits x = n·ln 2 + r with |r| <= ln 2 / 2, sums the Taylor series of
// e^r to r¹³ (the first term left out is below 5e-18) and moves the exponent by n.
func expP(x float64) float64 {
	return expTwoPart(x, 0)
}

// expTwoPart is e^(x+tail), for a tail far smaller than x's last place but one.
func expTwoPart(x, tail float64) float64 {
	switch {
	case math.IsNaN(x):
		return x
	case x > expOverflow:
		return math.Inf(1)
	case x < expToZero:
		return 0
	}
	n := math.Floor(float64(x*log2e) + 0.5)
	r := (x - float64(n*ln2Hi)) - (float64(n*ln2Lo) - tail)
	p := 1.0 / 6227020800
	p = float64(p*r) + 1.0/479001600
	p = float64(p*r) + 1.0/39916800
	p = float64(p*r) + 1.0/3628800
	p = float64(p*r) + 1.0/362880
	p = float64(p*r) + 1.0/40320
	p = float64(p*r) + 1.0/5040
	p = float64(p*r) + 1.0/720
	p = float64(p*r) + 1.0/120
	p = float64(p*r) + 1.0/24
	p = float64(p*r) + 1.0/6
	p = float64(p*r) + 0.5
	// 1 + (r + r²·p): the small terms are gathered before they meet the 1.
	p = float64(float64(r*r)*p) + r
	return math.Ldexp(1+p, int(n))
}

// splitForLog gives x = m·2^k with m in [√½, √2), so that ln m is as small as
// it can be, and f = m − 1, which is exact.
func splitForLog(x float64) (f, k float64) {
	m, e := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		e--
	}
	return m - 1, float64(e)
}

// atanhTail is 2(z/3 + z²/5 + … + z¹¹/23), z = s² <= 0.0295: what follows the
// first term of ln(1+f) = 2·artanh(s), s = f/(2+f), divided by s. The first
// term left out is below 2e-19.
func atanhTail(z float64) float64 {
	p := 2.0 / 23
	p = float64(p*z) + 2.0/21
	p = float64(p*z) + 2.0/19
	p = float64(p*z) + 2.0/17
	p = float64(p*z) + 2.0/15
	p = float64(p*z) + 2.0/13
	p = float64(p*z) + 2.0/11
	p = float64(p*z) + 2.0/9
	p = float64(p*z) + 2.0/7
	p = float64(p*z) + 2.0/5
	p = float64(p*z) + 2.0/3
	return float64(p * z)
}

// logP uses 2s = f − s·f, so that the rounding of the quotient s touches only
// the correction and not the leading term f, which is exact.
func logP(x float64) float64 {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 1):
		return x
	case x < 0:
		return math.NaN()
	case x == 0:
		return math.Inf(-1)
	}
	f, k := splitForLog(x)
	s := f / (2 + f)
	c := float64(s * (f - atanhTail(float64(s*s))))
	return float64(k*ln2Hi) - ((c - float64(k*ln2Lo)) - f)
}

// logTwoPart returns ln x as an unevaluated sum hi + lo good to about 2^-60:
// a power multiplies the error of the logarithm by the exponent, so it needs
// bits to spare.
func logTwoPart(x float64) (hi, lo float64) {
	f, k := splitForLog(x)
	t := 2 + f
	tLo := f - (t - 2)
	s := f / t
	sLo := (math.FMA(-s, t, f) - float64(s*tLo)) / t
	small := float64(s * atanhTail(float64(s*s)))
	small += float64(2 * sLo)
	small += float64(k * ln2Lo)
	// Two-sum of k·ln2Hi (exact) and 2s (exact), then the small part.
	a, b := float64(k*ln2Hi), float64(2*s)
	sum := a + b
	bb := sum - a
	rest := (a - (sum - bb)) + (b - bb)
	rest += small
	hi = sum + rest
	return hi, rest - (hi - sum)
}

func powP(x, y float64) float64 {
	switch {
	case y == 0 || x == 1:
		return 1
	case math.IsNaN(x) || math.IsNaN(y) || x < 0:
		return math.NaN()
	case x == 0 || math.IsInf(x, 1):
		if (x == 0) == (y > 0) {
			return 0
		}
		return math.Inf(1)
	}
	hi, lo := logTwoPart(x)
	p := float64(y * hi)
	if math.IsInf(p, 0) || math.Abs(p) > 800 {
		return expP(p)
	}
	tail := math.FMA(y, hi, -p)
	tail += float64(y * lo)
	return expTwoPart(p, tail)
}

// sinCosQuarter returns sin x and cos x, x in radians, for x in [−π/4, 3π/4]; the
// model needs [0, π/2], the bend of the track. It runs inside the step.
func sinCosQuarter(x float64) (sin, cos float64) {
	if x <= quarterPi {
		return sinCosSmall(x)
	}
	cos, sin = sinCosSmall((halfPiHi - x) + halfPiLo)
	return sin, cos
}

func sinQuarter(x float64) float64 {
	sin, _ := sinCosQuarter(x)
	return sin
}

func cosQuarter(x float64) float64 {
	_, cos := sinCosQuarter(x)
	return cos
}

// sinCosSmall is the Taylor series of the sine to x¹⁵ and of the cosine to x¹⁶ for
// |x| <= π/4; the first terms left out are below 6e-17 of the sine and 3e-18. The
// sums are paired up instead of nested, so that the processor can work on several
// products at a time.
func sinCosSmall(x float64) (sin, cos float64) {
	z := float64(x * x)
	w := float64(z * z)
	q := float64(w * w)

	a := -1.0/6 + float64(z*(1.0/120))
	b := -1.0/5040 + float64(z*(1.0/362880))
	c := -1.0/39916800 + float64(z*(1.0/6227020800))
	const d = -1.0 / 1307674368000
	p := (a + float64(w*b)) + float64(q*(c+float64(w*d)))
	sin = x + float64(float64(x*z)*p)

	a = 1.0/24 - float64(z*(1.0/720))
	b = 1.0/40320 - float64(z*(1.0/3628800))
	c = 1.0/479001600 - float64(z*(1.0/87178291200))
	const e = 1.0 / 20922789888000
	p = (a + float64(w*b)) + float64(q*(c+float64(w*e)))
	cos = 1 - (float64(0.5*z) - float64(w*p))
	return sin, cos
}
