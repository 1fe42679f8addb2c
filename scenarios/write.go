package scenarios

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatbench/model"
	"slatbench/sim"
	"slatbench/sim/fault"
)

// Story is one run as it is to be written: what the bench was given, whatever came
// of that. Controllers, observers and ratings of the setup are not written.
type Story struct {
	Name     string // on one line
	Comment  string // above it, in lines
	Truck    string // file of the truck, as it is named from the scenario's folder
	Logic    string // file of the logic table, likewise
	Setup    sim.Setup
	HealedAt int64 // step from which recovery is judged; 0 is never
	// JudgeForce: contact-force is judged, not only measured.
	JudgeForce bool
}

// Write writes a story as the text of a scenario file that a person can read, and
// that plays the same run: the same parameters, actions and faults to the last bit.
// What its truck file says already, and what is left out by habit, is left out. The
// name is that of the scenario file: names in it are looked for from its folder.
//
// It is an error if the truck file cannot be read, or if the story has something
// that a scenario cannot say.
func (l *Loader) Write(name string, s *Story) (string, error) {
	s = s.filled()
	w := &writer{story: s}
	var truck TruckFile
	unset := &Loader{Shipped: l.Shipped, Sealed: l.Sealed}
	if err := unset.LoadNamed(s.Truck, Pos{File: name, Line: 1}, &truck); err != nil {
		return "", err
	}
	if n, want := len(s.Setup.Truck.Bays), len(truck.Bays.Entries); n != want {
		return "", fmt.Errorf("the truck of %s has %d bays, and the run %d", s.Truck, want, n)
	}
	w.comment()
	w.line("scenario: %s", plainText(s.Name))
	w.truck(truck.Params())
	w.line("logic: %s", plainText(s.Logic))
	w.ambient()
	w.start()
	w.bench()
	w.steps()
	w.faults()
	text := w.text.String()
	if w.err == nil {
		w.err = unset.readsBack(name, text, s)
	}
	return text, w.err
}

// filled is the story with what the bench would fill in.
func (s *Story) filled() *Story {
	c := *s
	if c.Setup.StepSize == 0 {
		c.Setup.StepSize = model.DefaultStep
	}
	if c.Setup.TickSteps == 0 {
		c.Setup.TickSteps = sim.DefaultTickSteps
	}
	if len(c.Setup.Faults) == 0 {
		c.Setup.Faults = nil
	}
	if c.Setup.Heights == nil {
		c.Setup.Heights = slices.Repeat([]float64{-1}, len(c.Setup.Truck.Bays))
	}
	return &c
}

// readsBack tells whether a text plays the run of a story.
func (l *Loader) readsBack(name, text string, s *Story) error {
	var sc Scenario
	if err := l.LoadBytes(name, []byte(text), &sc); err != nil {
		return err
	}
	got, err := sc.setup()
	if err != nil {
		return err
	}
	want := s.Setup
	if sc.noChance() {
		got.Seed = want.Seed
	}
	for _, part := range []struct {
		name      string
		got, want any
	}{
		{"truck", got.Truck, want.Truck},
		{"time step", got.StepSize, want.StepSize},
		{"controller tick", got.TickSteps, want.TickSteps},
		{"seed", got.Seed, want.Seed},
		{"duration", got.Duration, want.Duration},
		{"charge", got.Charge, want.Charge},
		{"heights", downIsDown(got.Heights), downIsDown(want.Heights)},
		{"locks", got.Locked, want.Locked},
		{"record", got.Untaught, want.Untaught},
		{"steps", played(got.Actions, want.Duration), played(want.Actions, want.Duration)},
		{"faults", got.Faults, want.Faults},
		{"healed at", sc.healedAt(), s.HealedAt},
	} {
		if !reflect.DeepEqual(part.got, part.want) {
			return fmt.Errorf("the %s cannot be written: %v reads back as %v", part.name, part.want, part.got)
		}
	}
	return nil
}

// downIsDown makes all heights below the sill alike.
func downIsDown(heights []float64) []float64 {
	list := make([]float64, len(heights))
	for i, h := range heights {
		list[i] = math.Max(h, -1)
		if h < 0 {
			list[i] = -1
		}
	}
	return list
}

type writer struct {
	story *Story
	text  strings.Builder
	err   error
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(&w.text, format+"\n", args...) }

func (w *writer) comment() {
	for _, line := range strings.Split(strings.TrimSpace(w.story.Comment), "\n") {
		if line != "" {
			w.line("# %s", strings.TrimRight(line, " "))
		}
	}
}

// plainText is a text as a single value: quoted where YAML would read something else.
func plainText(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if !plain(text) {
		return "'" + strings.ReplaceAll(text, "'", "''") + "'"
	}
	return text
}

// plain tells that YAML reads a text as it stands.
func plain(text string) bool {
	switch {
	case text == "" || text == "null" || text == "true" || text == "false":
		return false
	case strings.ContainsAny(text, "#'\"{}[]&*!|>%@`") || strings.Contains(text, ": ") || strings.HasSuffix(text, ":"):
		return false
	}
	first, _ := utf8.DecodeRuneInString(text)
	return unicode.IsLetter(first) || first == '/' || first == '.'
}

// flow is a mapping on one line, of what there is something to say of.
type flow struct{ items []string }

func (f *flow) add(key, value string) { f.items = append(f.items, key+": "+value) }

func (f *flow) String() string { return "{" + strings.Join(f.items, ", ") + "}" }

func (w *writer) truck(base model.TruckParams) {
	var bays []string
	for i := range w.story.Setup.Truck.Bays {
		b := &w.story.Setup.Truck.Bays[i]
		if text := bayChanges(&base.Bays[i], b); text != "" {
			bays = append(bays, fmt.Sprintf("    %s: %s", b.Name, text))
		}
	}
	if bays == nil {
		w.line("truck: %s", plainText(w.story.Truck))
		return
	}
	w.line("truck:\n  from: %s\n  bays:\n%s", plainText(w.story.Truck), strings.Join(bays, "\n"))
}

// tolerances are the values of a bay in which one truck differs from the next, by
// their keys in a truck file.
var tolerances = []struct {
	part, key string
	dimension Dimension
	of        func(b *model.BayParams) float64
}{
	{"curtain", "mass", "mass", func(b *model.BayParams) float64 { return b.Curtain.Mass }},
	{"counterbalance", "initial turns", "turns", func(b *model.BayParams) float64 { return b.Counterbalance.InitialTurns }},
	{"friction", "running", "force", func(b *model.BayParams) float64 { return b.Friction.Running }},
	{"friction", "breakaway", "force", func(b *model.BayParams) float64 { return b.Friction.Breakaway }},
	{"friction", "viscous", "damping", func(b *model.BayParams) float64 { return b.Friction.Viscous }},
	{"drive", "resistance", "resistance", func(b *model.BayParams) float64 { return b.Drive.Resistance }},
}

// bayChanges says by what a bay differs from what its truck file says, or "".
func bayChanges(base, b *model.BayParams) string {
	var parts, inner flow
	for i := range tolerances {
		t := &tolerances[i]
		if x := t.of(b); x != t.of(base) {
			inner.add(t.key, FormatQuantity(x, t.dimension))
		}
		if last := i == len(tolerances)-1; (last || tolerances[i+1].part != t.part) && inner.items != nil {
			parts.add(t.part, inner.String())
			inner = flow{}
		}
	}
	if parts.items == nil {
		return ""
	}
	return parts.String()
}

func (w *writer) ambient() {
	var f flow
	a := &w.story.Setup.Truck.Ambient
	if a.Temperature != 20 {
		f.add("temperature", trimFloat(a.Temperature)+" °C")
	}
	if a.Sunlight != 0 {
		f.add("sunlight", FormatQuantity(a.Sunlight, "illuminance"))
	}
	if a.Grade != 0 {
		f.add("grade", FormatQuantity(a.Grade, "percent"))
	}
	if f.items != nil {
		w.line("ambient: %s", f.String())
	}
}

func (w *writer) start() {
	var f, doors flow
	s := &w.story.Setup
	if s.Charge != 0.9 {
		f.add("charge", FormatQuantity(s.Charge, "percent"))
	}
	if s.Locked[model.Curbside] {
		f.add("locks", "locked")
	}
	for i, h := range s.Heights {
		b := &s.Truck.Bays[i]
		switch {
		case h < 0:
		case h == restOpen(b.Track.Opening):
			doors.add(b.Name, "open")
		default:
			doors.add(b.Name, FormatQuantity(h, "length"))
		}
	}
	if doors.items != nil {
		f.add("doors", doors.String())
	}
	if s.Untaught {
		f.add("taught", "no")
	}
	if f.items != nil {
		w.line("start: %s", f.String())
	}
}

// bench is what the run itself is made of.
func (w *writer) bench() {
	s := &w.story.Setup
	w.line("duration: %s", w.time(s.Duration))
	if w.story.HealedAt > 0 {
		w.line("healed at: %s", w.time(w.story.HealedAt))
	}
	if !noChance(s.Faults) {
		w.line("seed: %d", s.Seed)
	}
	if s.StepSize != model.DefaultStep {
		w.line("time step: %s", FormatQuantity(s.StepSize, "time"))
	}
	if tick := seconds6(float64(s.TickSteps) * s.StepSize); tick != sim.DefaultTickSteps*model.DefaultStep {
		w.line("controller tick: %s", FormatQuantity(tick, "time"))
	}
	if w.story.JudgeForce {
		w.line("judge contact force: yes")
	}
}

// seconds6 is a time rounded to the µs, so that 14.2 s are 14.2 s.
func seconds6(s float64) float64 { return math.Round(s*1e6) / 1e6 }

// time is a step as an instant, in s.
func (w *writer) time(step int64) string {
	return trimFloat(seconds6(float64(step)*w.story.Setup.StepSize)) + " s"
}

// span is a number of steps as a length of time.
func (w *writer) span(steps int64) string {
	return FormatQuantity(seconds6(float64(steps)*w.story.Setup.StepSize), "time")
}

// noChance tells that nothing of a run is left to chance, so that any seed gives it.
func noChance(faults []sim.Scheduled) bool {
	for i := range faults {
		if f, ok := faults[i].Fault.(fault.Fault); !ok || f.Name == "extra-pulses" {
			return false
		}
	}
	return true
}

func (sc *Scenario) noChance() bool {
	for i := range sc.Faults {
		if sc.Faults[i].Kind.Name == "extra-pulses" {
			return false
		}
	}
	return true
}

func (w *writer) faults() {
	list := w.story.Setup.Faults
	if len(list) == 0 {
		return
	}
	w.line("faults:")
	for i := range list {
		f, ok := list[i].Fault.(fault.Fault)
		k, found := fault.Find(f.Name)
		if !ok || !found {
			w.err = fmt.Errorf("%v is no fault that a file can name", list[i].Fault)
			return
		}
		w.line("  - %s", w.fault(&list[i], &f, &k))
	}
}

func (w *writer) fault(s *sim.Scheduled, f *fault.Fault, k *fault.Kind) string {
	var item flow
	item.add(k.Name, w.place(f, k))
	if s.From > 0 {
		item.add(faultFrom, w.time(s.From))
	}
	if s.To > 0 {
		item.add(faultUntil, w.time(s.To))
	}
	for i := range k.Params {
		p := &k.Params[i]
		switch x := f.Values[i]; {
		case p.Words != nil && (x != p.Default || f.Name != "obstruction"):
			item.add(p.Name, p.Words[int(x)])
		case p.Words == nil && (x != p.Default || p.Severity()):
			item.add(p.Name, formatParam(x, p.Unit))
		}
	}
	return item.String()
}

func formatParam(x float64, unit string) string {
	if unit == "ratio" {
		return FormatQuantity(x, "percent")
	}
	return FormatQuantity(x, Dimension(unit))
}

func (w *writer) place(f *fault.Fault, k *fault.Kind) string {
	switch k.Place {
	case fault.OnBay:
		return w.bay(f.Place)
	case fault.OnSide:
		return model.Side(f.Place).String()
	}
	return k.Part
}

func (w *writer) bay(i int) string { return w.story.Setup.Truck.Bays[i].Name }
