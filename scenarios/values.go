package scenarios

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Quantity reads a node as a quantity; ok is false when a problem was noted.
func (d *Decoder) Quantity(n *Node, dimension Dimension) (value float64, ok bool) {
	info := dimensionsByName[dimension]
	if info == nil {
		panic(fmt.Sprintf("scenarios: unknown dimension %q", dimension))
	}
	if !d.expect(n, Scalar, info.label+" such as "+orList(info.examples())) {
		return 0, false
	}
	value, err := ParseQuantity(n.Text, dimension)
	if err != nil {
		problem := err.(*QuantityError)
		d.problem(n.Pos, problem.Hint, "%s", problem.Message)
		return 0, false
	}
	return value, true
}

// Word reads a node as one of words.
func (d *Decoder) Word(n *Node, words []string) (word string, ok bool) {
	if !d.expect(n, Scalar, "one of "+orList(words)) {
		return "", false
	}
	if !slices.Contains(words, n.Text) {
		d.problem(n.Pos, didYouMean(n.Text, words, "valid words"), "unknown word %s", quoted(n.Text))
		return "", false
	}
	return n.Text, true
}

// Text reads a node as text.
func (d *Decoder) Text(n *Node) (text string, ok bool) {
	if !d.expect(n, Scalar, "a text") {
		return "", false
	}
	return n.Text, true
}

func (d *Decoder) quantity(n *Node, s *shape, v reflect.Value) {
	value, ok := d.Quantity(n, s.dim.name)
	if !ok || !d.inRange(n, s, value) {
		return
	}
	if v.Kind() == reflect.Float64 {
		v.SetFloat(value)
		return
	}
	d.setWhole(n, v, value)
}

// setWhole stores a quantity in an integer field.
func (d *Decoder) setWhole(n *Node, v reflect.Value, value float64) {
	switch {
	case value != math.Trunc(value) || math.Abs(value) > 1<<53:
		d.problem(n.Pos, "", "%s is no whole number", quoted(n.Text))
	case v.CanInt() && !v.OverflowInt(int64(value)):
		v.SetInt(int64(value))
	case v.CanUint() && value >= 0 && !v.OverflowUint(uint64(value)):
		v.SetUint(uint64(value))
	default:
		d.problem(n.Pos, "", "%s is out of range", quoted(n.Text))
	}
}

// whole reads an integer without a unit; 64-bit seeds keep all their digits.
func (d *Decoder) whole(n *Node, s *shape, v reflect.Value) {
	if !d.expect(n, Scalar, "a whole number") {
		return
	}
	if v.CanUint() {
		number, err := strconv.ParseUint(n.Text, 10, v.Type().Bits())
		if err != nil {
			d.problem(n.Pos, "", "%s is no whole number of 0 or more%s", quoted(n.Text), atMost(err, math.MaxUint64>>(64-v.Type().Bits())))
		} else if d.inRange(n, s, float64(number)) {
			v.SetUint(number)
		}
		return
	}
	number, err := strconv.ParseInt(n.Text, 10, v.Type().Bits())
	if err != nil {
		d.problem(n.Pos, "", "%s is no whole number%s", quoted(n.Text), atMost(err, math.MaxInt64>>(64-v.Type().Bits())))
	} else if d.inRange(n, s, float64(number)) {
		v.SetInt(number)
	}
}

// atMost adds the bound to a message when the number was too large to hold.
func atMost(err error, bound uint64) string {
	if numError, ok := err.(*strconv.NumError); ok && numError.Err == strconv.ErrRange {
		return fmt.Sprintf(" and at most %d", bound)
	}
	return ""
}

func (d *Decoder) inRange(n *Node, s *shape, value float64) bool {
	if s.limit == nil || s.limit.holds(value) {
		return true
	}
	hint := ""
	if s.dim.name == "ratio" && value > 1 && s.limit.hasHigh && s.limit.holds(value/100) && !strings.Contains(n.Text, "%") {
		hint = fmt.Sprintf("a bare number is a fraction of 1: write %s %%", n.Text)
	}
	d.problem(n.Pos, hint, "%s is out of range, it must be %s", quoted(n.Text), s.limit.words)
	return false
}

func (d *Decoder) flag(n *Node, v reflect.Value) {
	if !d.expect(n, Scalar, "yes or no") {
		return
	}
	switch n.Text {
	case "yes", "true":
		v.SetBool(true)
	case "no", "false":
		v.SetBool(false)
	default:
		d.problem(n.Pos, "", "found %s, expected yes or no", quoted(n.Text))
	}
}
