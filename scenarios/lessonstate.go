package scenarios

import (
	"slices"
	"strings"
)

// LessonPhase is where in a step a lesson is.
type LessonPhase string

// The phases of a lesson.
const (
	LessonReading  LessonPhase = "reading"  // Next goes on
	LessonAsking   LessonPhase = "asking"   // held until Answer
	LessonWaiting  LessonPhase = "waiting"  // until the bench shows what is waited for
	LessonFinding  LessonPhase = "finding"  // the same, but Next gives up and goes on
	LessonTold     LessonPhase = "told"     // it has come about; Next goes on
	LessonReady    LessonPhase = "ready"    // before the check: Next begins it
	LessonChecking LessonPhase = "checking" // the bench has the hands
	LessonFailed   LessonPhase = "failed"   // the check was not passed: the learner works on, Next checks again
	LessonPassed   LessonPhase = "passed"   // finished
)

// LessonState is all that there is to show of a lesson in progress. It is made
// anew by State and shares nothing.
type LessonState struct {
	Changes int         `json:"changes"` // grows whenever anything here has changed
	Phase   LessonPhase `json:"phase"`
	Step    int         `json:"step"`  // from 1; Steps+1 is the check
	Steps   int         `json:"steps"` // without the check
	Held    bool        `json:"held"`  // the truck's time stands until the learner has answered
	Hands   bool        `json:"hands"` // the learner may work the truck; not while held or checking
	Title   string      `json:"title"`
	Text    string      `json:"text"` // paragraphs parted by an empty line
	Caution string      `json:"caution"`

	Question string   `json:"question"` // "" where none is asked
	Choices  []string `json:"choices"`
	Answered int      `json:"answered"` // index of the choice made, or -1
	Right    int      `json:"right"`    // index of the right one, told with the reply; before that -1
	Reply    string   `json:"reply"`    // what is said on the choice; with something to wait for, not before it has come about

	Waits   []LessonWait  `json:"waits"`   // what has to come about; not told before it has where it was to be predicted, nor where it is to be found
	Then    string        `json:"then"`    // told once it has
	Hints   []string      `json:"hints"`   // that are due
	Remarks []string      `json:"remarks"` // on what came about meanwhile, and on jobs done
	Jobs    []LessonOffer `json:"jobs"`    // the workshop
	Next    string        `json:"next"`    // what Next would do, as a label; "" where it is refused

	Answers     []int        `json:"answers"`         // index of the choice made at each step, -1 where none was
	Predictions int          `json:"predictions"`     // answered so far …
	Rightly     int          `json:"predicted_right"` // … and rightly
	Tries       int          `json:"tries"`           // checks begun
	Results     []LessonWait `json:"results"`         // of the last check: what was looked for, and whether it was met
	Passed      bool         `json:"passed"`
	Finished    bool         `json:"finished"`
}

// LessonWait is something that has to come about, in plain words.
type LessonWait struct {
	Text string `json:"text"`
	Met  bool   `json:"met"`
}

// LessonOffer is a job that can be had in the workshop.
type LessonOffer struct {
	Name string `json:"name"`
	Text string `json:"text"`
	Done bool   `json:"done"`
}

// State is all that there is to show.
func (p *LessonProgress) State() LessonState {
	st := LessonState{
		Changes: p.changes, Phase: p.phase, Step: p.step + 1, Steps: len(p.ls.Steps), Held: p.Held(),
		Hands: !p.Held() && p.phase != LessonChecking, Answered: -1, Right: -1, Tries: p.tries,
		Caution: p.ls.Caution, Results: append([]LessonWait{}, p.results...), Passed: p.phase == LessonPassed, Finished: p.phase == LessonPassed,
		Choices: []string{}, Waits: []LessonWait{}, Hints: []string{}, Jobs: []LessonOffer{}, Remarks: append([]string{}, p.told...), Answers: slices.Clone(p.answers),
	}
	for i := range p.ls.Jobs.Entries {
		j := &p.ls.Jobs.Entries[i]
		st.Jobs = append(st.Jobs, LessonOffer{j.Key, Paragraphs(j.Value.Say), p.jobs[i]})
	}
	for i, choice := range p.answers {
		if choice >= 0 {
			st.Predictions++
			if p.ls.Steps[i].Ask.Choices[choice].Right {
				st.Rightly++
			}
		}
	}
	if p.step == len(p.ls.Steps) {
		p.checkState(&st)
	} else {
		p.stepState(&st)
	}
	return st
}

// Labels of what Next does.
const (
	nextOn    = "Go on"
	nextGive  = "I am done"
	nextCheck = "Begin the check"
	nextAgain = "Check again"
)

func (p *LessonProgress) checkState(st *LessonState) {
	c := &p.ls.Proof
	st.Title, st.Text = "The bench checks", Paragraphs(c.Text)
	switch p.phase {
	case LessonReady:
		st.Next = nextCheck
	case LessonFailed:
		st.Then, st.Next = Paragraphs(c.Failed), nextAgain
	case LessonPassed:
		st.Then = Paragraphs(c.Passed)
	}
}

func (p *LessonProgress) stepState(st *LessonState) {
	s := &p.ls.Steps[p.step]
	st.Title, st.Text = s.Title, Paragraphs(s.Text)
	if s.Caution != "" {
		st.Caution = strings.TrimSpace(st.Caution + "\n\n" + s.Caution)
	}
	st.Caution = Paragraphs(st.Caution)
	if s.Ask != nil {
		p.askState(st, s.Ask)
	}
	if s.Ask == nil || p.phase == LessonTold { // what was to be predicted, or is to be found, is not told before
		for i := range s.Until {
			st.Waits = append(st.Waits, LessonWait{s.Until[i].String(), p.phase == LessonTold || p.wait.list[i].came})
		}
	}
	for i := range s.Hints[:p.hinted] {
		st.Hints = append(st.Hints, Paragraphs(s.Hints[i].Text))
	}
	switch p.phase {
	case LessonTold:
		st.Then, st.Next = Paragraphs(s.Then), nextOn
	case LessonReading:
		st.Next = nextOn
	case LessonFinding:
		st.Next = nextGive
	}
}

func (p *LessonProgress) askState(st *LessonState, ask *LessonQuestion) {
	st.Question = Paragraphs(ask.Question)
	for i := range ask.Choices {
		st.Choices = append(st.Choices, Paragraphs(ask.Choices[i].Answer))
	}
	st.Answered = p.answers[p.step]
	if p.phase == LessonTold {
		st.Right = slices.IndexFunc(ask.Choices, func(c LessonChoice) bool { return c.Right })
		st.Reply = Paragraphs(ask.Choices[st.Answered].Because)
	}
}

// Paragraphs joins the lines of each paragraph of a lesson's text, and parts the
// paragraphs by an empty line. In the file empty lines part them; in a text folded
// by ">" an empty line has become a single line end.
func Paragraphs(text string) string {
	parting := "\n"
	if strings.Contains(text, "\n\n") {
		parting = "\n\n"
	}
	var list []string
	for part := range strings.SplitSeq(strings.TrimSpace(text), parting) {
		if words := strings.Join(strings.Fields(part), " "); words != "" {
			list = append(list, words)
		}
	}
	return strings.Join(list, "\n\n")
}
