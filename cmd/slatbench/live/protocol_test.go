package live

import (
	"os"
	"reflect"
	"strings"
	"testing"
)

// TestProtocolIsDescribed: docs/live-protocol.md has every request, every message, every
// field and every column of a frame.
func TestProtocolIsDescribed(t *testing.T) {
	data, err := os.ReadFile("../../../docs/live-protocol.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	has := func(what, word string) {
		t.Helper()
		if !strings.Contains(text, "`"+word+"`") && !strings.Contains(text, `"`+word+`"`) {
			t.Errorf("%s %q is not in docs/live-protocol.md", what, word)
		}
	}
	for _, w := range doWords {
		has("the request", w)
	}
	for _, w := range []string{IsWelcome, IsBench, IsFrame, IsRequirements, IsFaults, IsEvent, IsSaved, IsLesson, IsDone, IsError, IsBye} {
		has("the message", w)
	}
	for _, w := range []string{
		eventAlarm, eventPress, eventAction, eventFaultOn, eventFaultOff, eventRefused, eventViolated, eventState, eventReset, eventSilent, eventEnd, eventTrouble,
		whyPaused, whyQuestion, whyEnd, whyTrouble,
		byeReasonFull, byeReasonIdle, byeReasonSlow, byeReasonMalformed, byeReasonTrouble, byeReasonStopped,
	} {
		has("the word", w)
	}
	for _, list := range [][]string{bayColumns, sideColumns, truckColumns} {
		for _, w := range list {
			has("the column", w)
		}
	}
	for _, w := range sampleColumns {
		has("the column of samples", w)
	}
	for _, m := range []any{
		Request{}, Welcome{}, Listed{}, FaultKind{}, FaultParam{}, Requirement{}, AlarmWords{}, Bench{}, Ambient{}, Bay{}, Side{}, Scripted{}, Limits{},
		Frame{}, Samples{}, Requirements{}, Judged{}, Faults{}, FaultOn{}, Event{}, Saved{}, Lesson{}, Done{}, Error{}, Bye{},
	} {
		typ := reflect.TypeOf(m)
		for i := range typ.NumField() {
			word, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			if word != "is" && word != "do" {
				has("the field of "+typ.Name(), word)
			}
		}
	}
}
