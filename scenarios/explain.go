package scenarios

import (
	"fmt"
	"math"
)

// Explain says in plain words what was violated, where, by how much and until when:
// "C1 was driven down onto the obstruction for 0.9 s instead of 0.5 s at most, until
// 14.2 s". The result is that of the run, for the figures of the bay; it may be nil.
// A requirement that is not violated is explained by its margin.
func Explain(j *Judged, r *Result) string {
	e := explained{Judged: j, result: r}
	if tell := tellings[j.ID+" "+j.Clause]; tell != nil && j.Margin < 0 {
		return tell(&e)
	}
	text := fmt.Sprintf("%s, clause %s: the margin is %s %s", j.ID, j.Clause, short(j.Margin), j.Unit)
	if !math.IsNaN(j.At) {
		text += " at " + e.at(0)
	}
	return text
}

// explained is a violation to be told.
type explained struct {
	*Judged
	result *Result
}

// who is the bay or the side.
func (e *explained) who() string {
	switch {
	case e.Bay != "":
		return e.Bay
	case e.Side != "":
		return "the " + e.Side + " bar"
	}
	return "the lock controller"
}

// limit is the margin's limit, of the clauses whose shares are of their limit.
func (e *explained) limit() float64 { return e.Margin / e.Share }

// over is what a value that may be no more than its limit has come to.
func (e *explained) over() float64 { return e.limit() - e.Margin }

// at is the time of the violation, so many seconds later.
func (e *explained) at(later float64) string {
	return trimFloat(math.Round((e.At+later)*1000)/1000) + " s"
}

// until is the time at which what lasted too long was over, or that it was not.
func (e *explained) until() string {
	if e.result != nil && e.At-e.Margin > e.result.Duration-stillOn {
		return "to the end of the run"
	}
	return "until " + e.at(-e.Margin)
}

// stillOn is how near the end of a run, in s, something counts as not over.
const stillOn = 0.02

// instead is "0.9 s instead of 0.5 s at most".
func (e *explained) instead(unit string, factor float64) string {
	return fmt.Sprintf("%s %s instead of %s %s at most", short(factor*e.over()), unit, short(factor*e.limit()), unit)
}

// pressed is how hard, where the figures of the run tell.
func (e *explained) pressed() string {
	if e.result == nil {
		return ""
	}
	for i := range e.result.Bays {
		if b := &e.result.Bays[i]; b.Name == e.Bay && b.PeakContact > 0 {
			return fmt.Sprintf("; it pressed with up to %.0f N", b.PeakContact)
		}
	}
	return ""
}

// short is a number of four figures, without zeros at its end.
func short(x float64) string {
	per := 1000.0
	for a := math.Abs(x); a >= 10 && per > 1; a /= 10 {
		per /= 10
	}
	return trimFloat(math.Round(x*per) / per)
}

// tellings say what each clause is about, when it is violated.
var tellings = map[string]func(e *explained) string{
	"close-cut cut": func(e *explained) string {
		return fmt.Sprintf("%s was driven down onto the obstruction for %s, %s%s", e.who(), e.instead("s", 1), e.until(), e.pressed())
	},
	"obstruction-reversal reverse": func(e *explained) string {
		return fmt.Sprintf("%s met the obstruction at %s and was not driven up within %s s", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"obstruction-reversal rise": func(e *explained) string {
		return fmt.Sprintf("%s turned on the obstruction and rose %s mm instead of %s mm at least, when its run up ended at %s",
			e.who(), short(1000*(e.limit()+e.Margin)), short(1000*e.limit()), e.at(0))
	},
	"obstruction-reversal open": func(e *explained) string {
		return fmt.Sprintf("%s turned on the obstruction and stood %s mm short of open when it had come to rest at %s", e.who(), short(-1000*e.Margin), e.at(0))
	},
	"contact-force peak": func(e *explained) string {
		return fmt.Sprintf("%s pressed with %s at %s", e.who(), e.instead("N", 1), e.at(0))
	},
	"contact-force static": func(e *explained) string {
		return fmt.Sprintf("%s went on pressing with %s at %s", e.who(), e.instead("N", 1), e.at(0))
	},
	"travel-timeout run": func(e *explained) string {
		return fmt.Sprintf("%s ran in one direction for %s, %s", e.who(), e.instead("s", 1), e.until())
	},
	"travel-timeout turn": func(e *explained) string {
		return fmt.Sprintf("%s began to close at %s, and in %s s had neither reached the floor nor been turned up", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"lock-interlock bar": func(e *explained) string {
		return fmt.Sprintf("%s was driven to lock with a curtain %s mm above the sill, where %s mm is the most, at %s",
			e.who(), short(1000*e.over()), short(1000*e.limit()), e.at(0))
	},
	"lock-interlock door": func(e *explained) string {
		return fmt.Sprintf("%s was driven with the lock bar %s mm into its curtain, at %s", e.who(), short(-1000*e.Margin), e.at(0))
	},
	"stop-on-press off": func(e *explained) string {
		return fmt.Sprintf("%s was pressed at %s while it moved, and went on for %s", e.who(), e.at(-e.limit()), e.instead("ms", 1000))
	},
	"stop-on-press next": func(e *explained) string {
		return fmt.Sprintf("%s was stopped by a press or the interlock, and closed at the next one, at %s", e.who(), e.at(0))
	},
	"no-surprise start": func(e *explained) string {
		return fmt.Sprintf("%s was driven at %s, and no press or reversal was the cause", e.who(), e.at(0))
	},
	"no-surprise bar": func(e *explained) string {
		return fmt.Sprintf("%s was driven at %s, and no request was the cause", e.who(), e.at(0))
	},
	"travel-timeout stands": func(e *explained) string {
		return fmt.Sprintf("the motor of %s was driven for more than %s s with the curtain standing, until %s", e.who(), short(e.limit()), e.at(0))
	},
	"lock-interlock barred": func(e *explained) string {
		return fmt.Sprintf("%s was still driven %s ms after its lock no longer let it, at %s", e.who(), short(1000*e.limit()), e.at(0))
	},
	"lock-interlock says": func(e *explained) string {
		return fmt.Sprintf("%s said that it was down, and was more than %s mm up, at %s", e.who(), short(1000*e.limit()), e.at(0))
	},
	"lock-interlock permit": func(e *explained) string {
		return fmt.Sprintf("the doors of %s were permitted while it was driven, or locked, at %s", e.who(), e.at(0))
	},
	"lock-interlock down": func(e *explained) string {
		return fmt.Sprintf("%s stood down and did not say so, or said so while it was driven, for longer than its time, at %s", e.who(), e.at(0))
	},
	"lock-interlock frees": func(e *explained) string {
		return fmt.Sprintf("%s was plainly home, and after %s s its doors were not permitted, at %s", e.who(), short(e.limit()), e.at(0))
	},
	"no-surprise way": func(e *explained) string {
		return fmt.Sprintf("%s started to close %s mm short of full open, where %s mm is the most, at %s",
			e.who(), short(1000*e.over()), short(1000*e.limit()), e.at(0))
	},
	"no-surprise back": func(e *explained) string {
		return fmt.Sprintf("%s had opened, and went up once more at the next press, at %s", e.who(), e.at(0))
	},
	"lock-fault shut": func(e *explained) string {
		return fmt.Sprintf("%s rested and its doors were not permitted, and its lamp was out for longer than %s s, until %s", e.who(), short(e.limit()), e.at(0))
	},
	"no-surprise heard": func(e *explained) string {
		return fmt.Sprintf("%s was pressed at %s, and in %s s neither drive nor tone nor lamp gave an answer", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"no-surprise manner": func(e *explained) string {
		return fmt.Sprintf("the lamp of %s was out in an ordinary run, or did not flash in a teaching, until %s", e.who(), e.at(0))
	},
	"lock-fault answer": func(e *explained) string {
		return fmt.Sprintf("%s was asked for at the cab switch at %s, and in %s s neither bar nor lamp gave an answer", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"lock-fault locked": func(e *explained) string {
		return fmt.Sprintf("%s was locked, and its lamp was not on, at %s", e.who(), e.at(0))
	},
	"alarm ended": func(e *explained) string {
		return fmt.Sprintf("a run up of %s ended short of open with nobody having stopped it, and no alarm had told of it by %s", e.who(), e.at(0))
	},
	"lock-fault limit": func(e *explained) string {
		return fmt.Sprintf("%s was driven one way for more than %s s, until %s", e.who(), short(e.limit()), e.at(0))
	},
	"service locks": func(e *explained) string {
		return fmt.Sprintf("%s was asked for at %s with nothing wrong, and within %s s the lock had not done it", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"no-surprise lamp": func(e *explained) string {
		return fmt.Sprintf("the lamp of %s was out while it was driven, or on while it rested, for longer than %s s, until %s", e.who(), short(e.limit()), e.at(0))
	},
	"dead-time gap": func(e *explained) string {
		return fmt.Sprintf("%s was without voltage for %s ms between two directions instead of %s ms at least, at %s",
			e.who(), short(1000*(e.limit()+e.Margin)), short(1000*e.limit()), e.at(0))
	},
	"supply-guard start": func(e *explained) string {
		return fmt.Sprintf("%s was started at %s with a supply that was %s V below the least", e.who(), e.at(0), short(-e.Margin))
	},
	"supply-guard brown-out": func(e *explained) string {
		return fmt.Sprintf("the controller of %s lost its supply, and the door was driven without it, %s", e.who(), e.until())
	},
	"slack-limit slack": func(e *explained) string {
		return fmt.Sprintf("%s was driven down with %s mm of cable slack, where %s mm is the most, at %s", e.who(), short(1000*e.over()), short(1000*e.limit()), e.at(0))
	},
	"taught-travel record": func(e *explained) string {
		return fmt.Sprintf("%s lost power while it was taught, and what is on record is neither the old travel nor the new one, at %s", e.who(), e.at(0))
	},
	"lock-fault return": func(e *explained) string {
		return fmt.Sprintf("%s did not arrive, and was not driven back within %s s, at %s", e.who(), short(e.limit()), e.at(0))
	},
	"lock-fault home": func(e *explained) string {
		return fmt.Sprintf("%s did not arrive, and its way back ended %s mm short at %s", e.who(), short(-1000*e.Margin), e.at(0))
	},
	"lock-fault flash": func(e *explained) string {
		return fmt.Sprintf("%s did not arrive, and its lamp did not flash within %s s, at %s", e.who(), short(e.limit()), e.at(0))
	},
	"lock-fault show": func(e *explained) string {
		return fmt.Sprintf("the lamp of %s showed locked for %s while the bar was not there, %s", e.who(), e.instead("s", 1), e.until())
	},
	"alarm sounds": func(e *explained) string {
		return fmt.Sprintf("%s should have sounded an alarm by %s, and did not in time", e.who(), e.at(0))
	},
	"alarm false": func(e *explained) string {
		return fmt.Sprintf("%s sounded an alarm at %s that nothing true had called for", e.who(), e.at(0))
	},
	"service arrives": func(e *explained) string {
		return fmt.Sprintf("%s was pressed at %s with nothing wrong, and did not arrive within %s s", e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"service teaches": func(e *explained) string {
		return fmt.Sprintf("%s was to be taught at %s with nothing wrong, and within %s s it had not been down and up again with its travel on record",
			e.who(), e.at(-e.limit()), short(e.limit()))
	},
	"service reversal": func(e *explained) string {
		return fmt.Sprintf("%s turned up while closing with nothing in its way, at %s", e.who(), e.at(0))
	},
	"service quiet": func(e *explained) string {
		return fmt.Sprintf("%s sounded an alarm with nothing wrong, at %s", e.who(), e.at(0))
	},
	"recovery door": func(e *explained) string {
		return fmt.Sprintf("%s was healed, and two presses did not bring it to rest at its end by %s", e.who(), e.at(0))
	},
	"recovery lock": func(e *explained) string {
		return fmt.Sprintf("%s was healed, and did not follow its cab switch by %s", e.who(), e.at(0))
	},
}
