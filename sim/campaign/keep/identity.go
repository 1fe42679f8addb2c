package keep

import (
	"fmt"
	"strconv"
	"strings"

	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

// Identity is all that a run follows from, besides its index. Two campaigns of
// the same identity have the same runs.
type Identity struct {
	Version string // of the program

	Truck, TruckHash string // name, for people, and [Hash] of the parameters
	Logic, LogicHash string // name, for people, and digest of the logic

	Bays []string // names of the truck's, for people

	Faults int      // at a time
	Only   []string // kinds of fault that are drawn; none: all
	Seed   uint64

	Step, Tick float64 // s

	JudgeForce bool // contact-force is judged, not only measured

	// Draws is a [Hash] of the first cases: it tells generators apart that draw
	// otherwise from the same seed.
	Draws string
}

// Hash is a short name for a value, by its JSON.
func Hash(v any) (string, error) { return campaign.Digest(v) }

// mark is one line of an identity in a file. What has no saying is for people and
// is not compared.
type mark struct {
	key, value string
	saying     string // "its seed is"
	version    bool   // a difference is one of versions, not of campaigns
}

// marks are the lines of an identity, in the order in which they are compared.
func (id *Identity) marks() []mark {
	return []mark{
		{key: "requirements", value: judges(), saying: "its requirements are", version: true},
		{key: "version", value: id.Version, saying: "its version is", version: true},
		{key: "truck", value: id.Truck},
		{key: "bays", value: strings.Join(id.Bays, ",")},
		{key: "truck_hash", value: id.TruckHash, saying: "its truck is"},
		{key: "logic", value: id.Logic},
		{key: "logic_hash", value: id.LogicHash, saying: "its logic is"},
		{key: "faults", value: strconv.Itoa(id.Faults), saying: "its number of faults is"},
		{key: "only", value: strings.Join(id.Only, ","), saying: "its kinds of fault are"},
		{key: "seed", value: strconv.FormatUint(id.Seed, 10), saying: "its seed is"},
		{key: "step_s", value: seconds(id.Step), saying: "its step in s is"},
		{key: "tick_s", value: seconds(id.Tick), saying: "its tick in s is"},
		{key: "judge_force", value: strconv.FormatBool(id.JudgeForce), saying: "its judging of contact-force is"},
		{key: "draws", value: id.Draws, saying: "its draws are", version: true},
	}
}

func seconds(s float64) string { return strconv.FormatFloat(s, 'g', -1, 64) }

// judges is a short name for the requirements, their clauses and exemptions: what
// the numbers in a file refer to.
func judges() string {
	name, err := Hash([]any{require.IDs, require.Clauses(), require.Exemptions})
	if err != nil {
		panic("keep: " + err.Error()) // plain data
	}
	return name
}

// differs says how a file's campaign is another one; nil where it is the same.
func (id *Identity) differs(name string, held map[string]string) error {
	for _, m := range id.marks() {
		if m.saying == "" || held[m.key] == m.value {
			continue
		}
		is, want := m.shown(id, held)
		what := "is of another campaign"
		if m.version {
			what = "was written by another version of slatbench"
		}
		return fmt.Errorf("%q %s: %s %s, and %s was expected", name, what, m.saying, is, want)
	}
	return nil
}

// shown words the two sides of a difference: a hash by the name that goes with it,
// where the names tell them apart.
func (m *mark) shown(id *Identity, held map[string]string) (is, want string) {
	is, want = held[m.key], m.value
	if of, ok := strings.CutSuffix(m.key, "_hash"); ok {
		names := map[string]string{"truck": id.Truck, "logic": id.Logic}
		is, want = held[of]+" ("+is+")", names[of]+" ("+want+")"
	}
	for _, text := range []*string{&is, &want} {
		if *text == "" {
			*text = "all"
			if m.key != "only" {
				*text = "none"
			}
		}
	}
	return is, want
}

// identityOf reads an identity back from its lines.
func identityOf(held map[string]string) (Identity, error) {
	id := Identity{
		Version: held["version"],
		Truck:   held["truck"], TruckHash: held["truck_hash"],
		Logic: held["logic"], LogicHash: held["logic_hash"],
		Draws: held["draws"],
	}
	if held["bays"] != "" {
		id.Bays = strings.Split(held["bays"], ",")
	}
	if held["only"] != "" {
		id.Only = strings.Split(held["only"], ",")
	}
	var err error
	read := func(e error) {
		if err == nil {
			err = e
		}
	}
	var e error
	id.Faults, e = strconv.Atoi(held["faults"])
	read(e)
	id.Seed, e = strconv.ParseUint(held["seed"], 10, 64)
	read(e)
	id.Step, e = strconv.ParseFloat(held["step_s"], 64)
	read(e)
	id.Tick, e = strconv.ParseFloat(held["tick_s"], 64)
	read(e)
	id.JudgeForce, e = strconv.ParseBool(held["judge_force"])
	read(e)
	return id, err
}
