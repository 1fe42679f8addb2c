package scenarios

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Magnitudes outside these (in SI units) are refused: no truck has them, so
// they are slips. Parsing stays cheap because exponents are bounded too.
const (
	smallestMagnitude = 1e-30
	largestMagnitude  = 1e30
	longestQuantity   = 80 // characters
	largestExponent   = 30
)

// A QuantityError says why a text is not a quantity of the wanted dimension.
type QuantityError struct {
	Message string // what is wrong
	Hint    string // what to write instead; may be empty
}

func (e *QuantityError) Error() string {
	if e.Hint == "" {
		return e.Message
	}
	return e.Message + "; " + e.Hint
}

// ParseQuantity reads a number with its unit, such as "32 kg", "6 ft 3-1/4 in",
// "25 in-lbf/turn", "4 °C" or "2/0 AWG", and returns it in the SI unit of the
// dimension: the nearest float64 to the exact conversion. Temperatures come
// back in K, percentages and ratios as a fraction of 1, charges in C, angles in
// rad, turns, pulses and cycles as counts, wire gauges as the AWG number with
// 0 for 1/0, -1 for 2/0, -2 for 3/0 and -3 for 4/0.
//
// Numbers are decimal ("1.5", "2e-5") or inch-style fractions ("1/4", "3-1/4").
// Errors are of type *QuantityError: no unit, unknown unit, unit of another
// dimension, not a number, magnitude outside 1e-30 to 1e30, below absolute zero.
func ParseQuantity(text string, dimension Dimension) (float64, error) {
	d := dimensionsByName[dimension]
	if d == nil {
		return 0, &QuantityError{Message: fmt.Sprintf("unknown dimension %q", dimension)}
	}
	q := quantityParser{text: text, dimension: d}
	value, problem := q.parse()
	if problem != nil {
		return 0, problem
	}
	return value, nil
}

// A quantityParser reads one quantity; it holds what its messages need.
type quantityParser struct {
	text      string
	dimension *dimensionInfo
}

// A term is one number with its unit text; "6 ft 3 in" has two.
type term struct {
	number *big.Rat
	digits string // the number as written, the first with its sign
	unit   string // as written, trimmed
}

func (q *quantityParser) parse() (float64, *QuantityError) {
	text := strings.TrimSpace(q.text)
	if utf8.RuneCountInString(text) > longestQuantity {
		return 0, q.problem("", "%s is too long for a quantity", quoted(text))
	}
	if text == "" {
		return 0, q.problem(q.example(), "empty value, %s is expected", q.dimension.label)
	}
	if q.dimension.name == "wire gauge" {
		if value, ok := heavyGauge(text); ok {
			return value, nil
		}
	}
	negative, rest := sign(text)
	terms, problem := q.terms(rest)
	if problem != nil {
		return 0, problem
	}
	if negative {
		terms[0].digits = "-" + terms[0].digits
	}
	sum, problem := q.sum(terms, negative)
	if problem != nil {
		return 0, problem
	}
	return q.toFloat(sum)
}

// sign strips a leading sign; it applies to the whole quantity.
func sign(text string) (negative bool, rest string) {
	for _, minus := range []string{"-", "\u2212"} {
		if after, ok := strings.CutPrefix(text, minus); ok {
			return true, strings.TrimSpace(after)
		}
	}
	rest, _ = strings.CutPrefix(text, "+")
	return false, strings.TrimSpace(rest)
}

// heavyGauge reads the gauges heavier than 1 AWG, written 1/0 to 4/0.
func heavyGauge(text string) (float64, bool) {
	digits, rest, found := strings.Cut(text, "/0")
	if !found || strings.TrimSpace(rest) != "AWG" || len(digits) != 1 || digits[0] < '1' || digits[0] > '4' {
		return 0, false
	}
	return 1 - float64(digits[0]-'0'), true
}

// terms splits "6 ft 3-1/4 in" into its numbers and units.
func (q *quantityParser) terms(text string) ([]term, *QuantityError) {
	var terms []term
	for text != "" {
		number, digits, rest, problem := q.number(text)
		if problem != nil {
			return nil, problem
		}
		unitText, rest := cutUnit(rest)
		terms = append(terms, term{number, digits, unitText})
		stray := startsWithDigit(unitText) && !strings.HasPrefix(unitText, "1/")
		if len(terms) > 3 || stray {
			return nil, q.problem(q.example(), "%s does not read as one quantity", quoted(q.text))
		}
		text = rest
	}
	if len(terms) == 0 {
		return nil, q.problem(q.example(), "%s is not a number", quoted(q.text))
	}
	return terms, nil
}

// cutUnit returns the unit at the start of text and what follows it: the next
// term starts at a digit after a space.
func cutUnit(text string) (unitText, rest string) {
	previous := ' '
	for i, r := range text {
		if isDigit(r) && previous == ' ' && strings.TrimSpace(text[:i]) != "" && !strings.HasSuffix(strings.TrimSpace(text[:i]), "/") {
			return strings.TrimSpace(text[:i]), text[i:]
		}
		previous = r
		if unicode.IsSpace(r) {
			previous = ' '
		}
	}
	return strings.TrimSpace(text), ""
}

// number reads the number at the start of text: a decimal, a fraction, or a
// whole number with a fraction.
func (q *quantityParser) number(text string) (value *big.Rat, digits, rest string, problem *QuantityError) {
	length := decimalLength(text)
	if length == 0 {
		return nil, "", "", q.problem(q.example(), "%s is not a number", quoted(q.text))
	}
	digits, rest = text[:length], text[length:]
	if after, ok := strings.CutPrefix(rest, ","); ok && startsWithDigit(after) {
		return nil, "", "", q.problem("write a decimal point, and no separator between thousands", "%s has a comma in its number", quoted(q.text))
	}
	if exponent := strings.IndexAny(digits, "eE"); exponent >= 0 {
		if n, err := strconv.Atoi(digits[exponent+1:]); err != nil || n > largestExponent || n < -largestExponent {
			return nil, "", "", q.problem("", "%s is beyond all reason: the exponent must lie between -%d and %d", quoted(q.text), largestExponent, largestExponent)
		}
	}
	value, ok := new(big.Rat).SetString(digits)
	if !ok {
		return nil, "", "", q.problem(q.example(), "%s is not a number", quoted(q.text))
	}
	if !wholeNumber(digits) {
		return value, digits, rest, nil
	}
	if fraction, tail, ok := cutFraction(digits, rest); ok { // 1/4
		return q.fraction(new(big.Rat), "", fraction, tail)
	}
	if joint := strings.TrimLeft(rest, " -"); len(joint) < len(rest) { // 3-1/4, 3 1/4
		if n := wholeLength(joint); n > 0 {
			if fraction, tail, ok := cutFraction(joint[:n], joint[n:]); ok {
				return q.fraction(value, digits+"-", fraction, tail)
			}
		}
	}
	return value, digits, rest, nil
}

// cutFraction joins a numerator already read with "/denominator" in rest.
func cutFraction(numerator, rest string) (fraction, tail string, ok bool) {
	after, found := strings.CutPrefix(rest, "/")
	n := wholeLength(after)
	if !found || n == 0 || len(numerator) > 4 || n > 4 {
		return "", "", false
	}
	return numerator + "/" + after[:n], after[n:], true
}

// fraction adds a fraction to the whole number before it.
func (q *quantityParser) fraction(whole *big.Rat, wholeDigits, fraction, rest string) (*big.Rat, string, string, *QuantityError) {
	value, ok := new(big.Rat).SetString(fraction)
	if !ok { // a zero denominator
		return nil, "", "", q.problem(q.example(), "%s has a fraction with no value", quoted(q.text))
	}
	return value.Add(value, whole), wholeDigits + fraction, rest, nil
}

// sum converts the terms exactly and adds them: units must run from large to
// small, as in "6 ft 3 in".
func (q *quantityParser) sum(terms []term, negative bool) (*big.Rat, *QuantityError) {
	total := new(big.Rat)
	wantUnit := ""
	for i, t := range terms {
		u, problem := q.unit(t)
		if problem != nil {
			return nil, problem
		}
		if i > 0 && u.name != wantUnit {
			return nil, q.problem(q.example(), "%s does not read as one quantity", quoted(q.text))
		}
		if i < len(terms)-1 && !t.number.IsInt() {
			return nil, q.problem("", "%s: a fraction may only stand in its last part", quoted(q.text))
		}
		wantUnit = u.next
		part := new(big.Rat).Set(t.number)
		if negative {
			part.Neg(part)
		}
		part.Add(part, u.shift)
		total.Add(total, part.Mul(part, u.scale))
	}
	return total, nil
}

// unit finds the unit of a term, or says what is wrong with it.
func (q *quantityParser) unit(t term) (*unit, *QuantityError) {
	key := unitKey(t.unit)
	if u := q.dimension.byKey[key]; u != nil {
		return u, nil
	}
	if key == "" {
		return nil, q.problem(q.writeLike(t), "%s has no unit, %s needs one", quoted(q.text), q.dimension.label)
	}
	other := dimensionWith(key)
	hint := q.insteadOf(t, key, other)
	if other == nil {
		return nil, q.problem(hint, "unknown unit %s", quoted(t.unit))
	}
	return nil, q.problem(hint, "%s is %s, %s is expected", quoted(q.text), other.label, q.dimension.label)
}

// dimensionWith returns the first dimension that has the unit.
func dimensionWith(key string) *dimensionInfo {
	for _, d := range dimensions {
		if key != "" && d.byKey[key] != nil {
			return d
		}
	}
	return nil
}

// writeLike shows the value with the dimension's first unit, and the others.
func (q *quantityParser) writeLike(t term) string {
	example := q.dimension.units[0].name
	if q.dimension.name == "temperature" {
		example = "°C"
	}
	hint := fmt.Sprintf("write %s %s", t.digits, example)
	if len(q.dimension.units) > 1 {
		hint += ", or another of " + q.dimension.unitList()
	}
	return hint
}

// insteadOf explains the mix-ups that people really make; other is the dimension
// that the unit belongs to, nil when nobody knows it.
func (q *quantityParser) insteadOf(t term, key string, other *dimensionInfo) string {
	want := q.dimension
	if u := want.withPounds(key); u != nil {
		return fmt.Sprintf("lb is mass and lbf is force: write %s %s", t.digits, u.name)
	}
	switch {
	case other == nil:
		return q.nearestUnit(t, habits[key])
	case want.name == "temperature difference" && other.name == "temperature":
		kelvins, _ := new(big.Rat).Mul(t.number, other.byKey[key].scale).Float64()
		return fmt.Sprintf("a difference is written in K: write %s K", trimFloat(kelvins))
	case want.name == "time" && key == "m":
		return fmt.Sprintf("m is metres, minutes are min: write %s min", t.digits)
	}
	return q.writtenIn()
}

// withPounds returns the dimension's unit that differs from key only in taking
// pounds or ounces of force for those of mass, or the other way round.
func (d *dimensionInfo) withPounds(key string) *unit {
	for _, mixup := range [][2]string{{"lb", "lbf"}, {"lbs", "lbf"}, {"oz", "ozf"}, {"lbf", "lb"}, {"ozf", "oz"}} {
		if u := d.byKey[strings.ReplaceAll(key, mixup[0], mixup[1])]; u != nil && strings.Contains(key, mixup[0]) {
			return u
		}
	}
	return nil
}

// nearestUnit suggests a unit for one that nobody knows; habit is what people
// often mean by it, if known.
func (q *quantityParser) nearestUnit(t term, habit string) string {
	if q.dimension.byKey[unitKey(habit)] != nil {
		return fmt.Sprintf("did you mean %s? %s", habit, q.writtenIn())
	}
	var names []string
	for _, u := range q.dimension.units {
		names = append(names, u.name)
		names = append(names, u.also...)
	}
	if suggestion := nearest(t.unit, names); suggestion != "" {
		return fmt.Sprintf("did you mean %s? %s", suggestion, q.writtenIn())
	}
	if other := dimensionWith(unitKey(habit)); other != nil {
		return fmt.Sprintf("%s would be %s; %s", habit, other.label, q.writtenIn())
	}
	return q.writtenIn()
}

// writtenIn lists the units of the wanted dimension.
func (q *quantityParser) writtenIn() string {
	list := q.dimension.unitList()
	if list != "" && q.dimension.bare {
		list += ", or without a unit"
	}
	if list != "" {
		return fmt.Sprintf("%s is written in %s", q.dimension.label, list)
	}
	return q.dimension.label + " is written without a unit"
}

// example is a hint that shows the form of a quantity of this dimension.
func (q *quantityParser) example() string {
	return "write it like " + orList(q.dimension.examples())
}

// examples shows how quantities of the dimension look.
func (d *dimensionInfo) examples() []string {
	switch d.name {
	case "length":
		return []string{"300 mm", "1.8 m", "6 ft 3-1/4 in"}
	case "mass":
		return []string{"32 kg", "70 lb"}
	case "temperature":
		return []string{"4 °C", "40 °F", "277 K"}
	case "percent":
		return []string{"80 %"}
	case "ratio":
		return []string{"0.8", "80 %"}
	case "number":
		return []string{"1.5"}
	case "wire gauge":
		return []string{"8 AWG", "2/0 AWG"}
	}
	return []string{"20 " + d.units[0].name}
}

// toFloat rounds once, and refuses what cannot be meant.
func (q *quantityParser) toFloat(exactValue *big.Rat) (float64, *QuantityError) {
	value, _ := exactValue.Float64()
	magnitude := math.Abs(value)
	if exactValue.Sign() != 0 && (magnitude < smallestMagnitude || magnitude > largestMagnitude) {
		return 0, q.problem("", "%s is beyond all reason for %s", quoted(q.text), q.dimension.label)
	}
	if q.dimension.name == "temperature" && exactValue.Sign() < 0 {
		return 0, q.problem("", "%s is below absolute zero", quoted(q.text))
	}
	if q.dimension.name == "wire gauge" && (value != math.Trunc(value) || value < -3 || value > 40) {
		return 0, q.problem("write a whole gauge such as 8 AWG, or 1/0 to 4/0 AWG for the heavy ones", "%s is no wire gauge", quoted(q.text))
	}
	return value, nil
}

func (q *quantityParser) problem(hint, format string, args ...any) *QuantityError {
	return &QuantityError{Message: fmt.Sprintf(format, args...), Hint: hint}
}

// decimalLength is the length of the unsigned decimal number at the start of text.
func decimalLength(text string) int {
	n := wholeLength(text)
	whole := n
	if n < len(text) && text[n] == '.' {
		fraction := wholeLength(text[n+1:])
		if whole+fraction == 0 {
			return 0
		}
		n += 1 + fraction
	}
	if n == 0 || n == len(text) || (text[n] != 'e' && text[n] != 'E') {
		return n
	}
	exponent := n + 1
	if exponent < len(text) && (text[exponent] == '-' || text[exponent] == '+') {
		exponent++
	}
	if digits := wholeLength(text[exponent:]); digits > 0 {
		return exponent + digits
	}
	return n
}

// wholeLength is the number of ASCII digits at the start of text.
func wholeLength(text string) int {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n
}

func wholeNumber(digits string) bool { return wholeLength(digits) == len(digits) }

func startsWithDigit(text string) bool { return wholeLength(text) > 0 }

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// quoted puts a text of a file into a message: on one line, not too long.
func quoted(text string) string {
	runes := []rune(text)
	if len(runes) > 60 {
		runes = append(runes[:57:57], []rune("...")...)
	}
	return strconv.Quote(string(runes))
}
