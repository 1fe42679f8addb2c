package scenarios

import (
	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/logic"
)

// UnderTest is the controllers that a user names, as a file has them. Whoever
// plays runs asks for one, and needs not know what kind of file it was.
type UnderTest struct {
	sim.Logic
	// Table is the logic table, or nil where the controllers come from outside.
	Table *logic.Table

	digest func() (string, error)
	close  func() error
}

// Plan makes controllers for the runs of a plan.
func (u *UnderTest) Plan(p *campaign.Plan) campaign.Controllers {
	return func() ([]sim.Controller, sim.Controller) {
		return u.Controllers(len(p.Truck.Bays), p.TickSize())
	}
}

// Digest is a short name for all that the behaviour of the controllers follows from.
func (u *UnderTest) Digest() (string, error) { return u.digest() }

// Close ends what still runs for the controllers: programs, say. None of them may
// be used afterwards.
func (u *UnderTest) Close() error {
	if u.close == nil {
		return nil
	}
	return u.close()
}

// Return implements sim.Lender.
func (u *UnderTest) Return(doors []sim.Controller, locks sim.Controller) {
	sim.Return(u.Logic, doors, locks)
}

// TableUnderTest is a table that has been loaded already.
func TableUnderTest(t *logic.Table) *UnderTest {
	return &UnderTest{Logic: t, Table: t, digest: func() (string, error) { return campaign.Digest(t) }}
}

// LoadUnderTest reads the controllers that a user names: a logic table, a
// WebAssembly module, a program, or a firmware file that names some of these. The
// error is of type Problems. They must be closed.
func (l *Loader) LoadUnderTest(name string) (*UnderTest, error) {
	if u, err := l.fromOutside(name, source{}, Pos{}); u != nil || err != nil {
		return u, err
	}
	t, err := l.LoadLogic(name)
	if err != nil {
		return nil, err
	}
	return TableUnderTest(t), nil
}

// loadUnderTestNamed reads the controllers that the key "logic" of a file names.
func (l *Loader) loadUnderTestNamed(name string, in *Located) (*UnderTest, error) {
	if u, err := l.fromOutside(name, l.namedBy(in), in.PosOf("logic")); u != nil || err != nil {
		return u, err
	}
	t, err := l.loadLogicNamed(name, in)
	if err != nil {
		return nil, err
	}
	return TableUnderTest(t), nil
}

// LoadUnderTestOf reads the controllers that a scenario names: beside the file
// that names them, then among the shipped ones. Changes in l.Set are made to a table.
func (l *Loader) LoadUnderTestOf(sc *Scenario) (*UnderTest, error) {
	return l.loadUnderTestNamed(sc.Logic, &sc.Located)
}

// LoadUnderTestOfTest does the same for a standard test.
func (l *Loader) LoadUnderTestOfTest(st *StandardTest) (*UnderTest, error) {
	return l.loadUnderTestNamed(st.Logic, &st.Located)
}

// LoadUnderTestOfSoak does the same for a soak.
func (l *Loader) LoadUnderTestOfSoak(f *SoakFile) (*UnderTest, error) {
	return l.loadUnderTestNamed(f.Logic, &f.Located)
}
