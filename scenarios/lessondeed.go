package scenarios

// LessonDeed is something that a learner does: a step of a scenario, or a job of
// the workshop. Its time counts from when the run goes on in the lesson's step.
//
//	{at: 2 s, press: C1}
//	{at: 10 s, job: set the gap}
type LessonDeed struct {
	Located
	Step *Step  // or nil
	Job  string // or ""
	At   float64
}

type jobDeed struct {
	At  float64 `yaml:"at,required" unit:"time" range:"[0 s,24 h]"`
	Job string  `yaml:"job,required" doc:"a job of the workshop"`
}

// Kinds implements Chooser.
func (d *LessonDeed) Kinds() []Kind {
	return append((&Step{}).Kinds(), Kind{"job", "a job of the workshop", func() any { return &jobDeed{} }})
}

// Select implements Chooser.
func (d *LessonDeed) Select(key string, value any) {
	if j, ok := value.(*jobDeed); ok {
		d.Job, d.At = j.Job, j.At
		return
	}
	d.Step = &Step{Located: d.Located, Kind: key, Value: value}
	d.At = d.Step.at()
}

// String is the deed in plain words, without its time.
func (d *LessonDeed) String() string {
	if d.Step == nil {
		return d.Job
	}
	return d.Step.deed()
}

// deed is a step in plain words, without its time.
func (s *Step) deed() string {
	switch v := s.Value.(type) {
	case *pressStep:
		text := "press the remote at " + v.Bay
		if v.Distance != usualDistance {
			text += " from " + FormatQuantity(v.Distance, "length")
		}
		if v.Aim != 0 {
			text += ", " + FormatQuantity(v.Aim, "angle") + " off"
		}
		return text
	case *teachStep:
		return "retrain " + v.Bay + ": hold the teach button, and press the remote"
	case *holdStep:
		return "hold the teach button of " + v.Bay
	case *lockStep:
		return "lock " + string(v.Side) + " at the cab switch"
	case *unlockStep:
		return "unlock " + string(v.Side) + " at the cab switch"
	case *bypassStep:
		return "move the bar of the " + string(v.Side) + " by hand, to " + string(v.To)
	}
	return ""
}
