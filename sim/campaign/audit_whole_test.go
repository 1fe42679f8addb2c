package campaign_test

import (
	"flag"
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"

	"slatbench/sim/campaign"
	"slatbench/sim/logic/rules"
	"slatbench/sim/require"
)

var (
	wholeAudit = flag.Bool("audit", false, "audit the shipped logic in full: minutes; with -audit.alone a quarter of an hour")
	aloneAudit = flag.Bool("audit.alone", false, "with -audit: by the requirements alone, without the design rules")
	writeAudit = flag.Bool("audit.write", false, "with -audit: write the figures into docs/audit.md")
	auditPage  = "../../docs/audit.md"
	auditMark  = "<!-- figures: go test ./sim/campaign -run TestWholeAudit -timeout 2h -audit -audit.write -->\n"
	aloneMark  = "<!-- alone: go test ./sim/campaign -run TestWholeAudit -timeout 2h -audit -audit.alone -audit.write -->\n"
)

// The audit of the shipped logic: whatever is not caught has a written reason, whatever
// has a reason is not caught, and docs/audit.md tells the figures.
func TestWholeAudit(t *testing.T) {
	if !*wholeAudit {
		t.Skip("asked for by -audit only")
	}
	plan := shippedPlan(t, 1, 1) // the truck of the file: that of the model has its wiring rounded, and other figures
	plan.Truck, plan.JudgeForce = campaign.AuditTruck(plan.Truck), true
	a := &campaign.Audit{
		Plan: plan,
		Base: shippedLogic(t), Workers: runtime.GOMAXPROCS(0), NoRules: *aloneAudit,
	}
	r, err := a.Run(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	mark, end := auditMark, "<!-- /figures -->"
	if *aloneAudit {
		mark, end = aloneMark, "<!-- /alone -->"
	} else {
		checkReasons(t, r)
	}
	text, err := os.ReadFile(auditPage)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, there := strings.Cut(string(text), mark)
	old, tail, ends := strings.Cut(rest, end)
	if !there || !ends {
		t.Fatal("docs/audit.md has no place for the figures")
	}
	now := auditFigures(a, r)
	if *writeAudit {
		if err := os.WriteFile(auditPage, []byte(head+mark+now+end+tail), 0o666); err != nil {
			t.Fatal(err)
		}
	} else if old != now {
		t.Errorf("docs/audit.md tells other figures:\n%s\nwant:\n%s", old, now)
	}
}

func checkReasons(t *testing.T, r *campaign.AuditResult) {
	t.Helper()
	reasons := campaign.ShippedReasons()
	for i := range r.Audited {
		u := &r.Audited[i]
		missed := u.Fate == campaign.Survived || u.Fate == campaign.Undetermined
		switch _, told := reasons[u.Mutant.ID]; {
		case missed && !told:
			t.Errorf("%s %s: %s, and no reason is written", u.Mutant.ID, u.Mutant.Text, u.Text())
		case !missed && told:
			t.Errorf("%s %s: %s, and a reason is written why not", u.Mutant.ID, u.Mutant.Text, u.Text())
		}
	}
}

// auditFigures is the table of docs/audit.md.
func auditFigures(a *campaign.Audit, r *campaign.AuditResult) string {
	var s strings.Builder
	fmt.Fprintf(&s, "Seed %d, %d cases drawn and as many copies, of which %d are stimuli; at most %d runs a mutant, %d runs in all.\n\n",
		a.Plan.Seed, campaign.DefaultDraws, r.Stimuli, campaign.DefaultBudget, r.Runs)
	s.WriteString("| mistake | mutants | refused | equivalent | caught | survived | undetermined | caught of those that play |\n|---|---|---|---|---|---|---|---|\n")
	row := func(name string, meant func(m *campaign.Mutant) bool) {
		n := map[campaign.Fate]int{}
		all := 0
		for i := range r.Audited {
			if u := &r.Audited[i]; meant(u.Mutant) {
				n[u.Fate]++
				all++
			}
		}
		plays := n[campaign.Caught] + n[campaign.Survived] + n[campaign.Undetermined]
		fmt.Fprintf(&s, "| %s | %d | %d | %d | %d | %d | %d | %.1f %% |\n", name, all, n[campaign.Refused], n[campaign.Equivalent],
			n[campaign.Caught], n[campaign.Survived], n[campaign.Undetermined], 100*float64(n[campaign.Caught])/float64(max(plays, 1)))
	}
	for _, kind := range campaign.MutantKinds {
		row(kind, func(m *campaign.Mutant) bool { return m.Kind == kind })
	}
	row("**all**", func(*campaign.Mutant) bool { return true })
	row("**safety-relevant**", func(m *campaign.Mutant) bool { return m.Safety != "" })
	by := map[string]int{}
	for i := range r.Audited {
		switch u := &r.Audited[i]; {
		case u.Rule != nil:
			by["`"+u.Rule.Rule+"`"]++
		case u.Fate == campaign.Caught:
			by[u.By.ID+" `"+u.By.Clause+"`"]++
		}
	}
	var ruled, played []string
	for i := range rules.All {
		ruled = append(ruled, "`"+rules.All[i].Name+"`")
	}
	for _, c := range require.Clauses() {
		played = append(played, c.Requirement+" `"+c.Word+"`")
	}
	caughtBy(&s, "a design rule", ruled, by)
	caughtBy(&s, "a requirement", played, by)
	return s.String()
}

// caughtBy tells what has caught how many, and how many in all.
func caughtBy(s *strings.Builder, what string, names []string, by map[string]int) {
	var list []string
	sum := 0
	for _, name := range names {
		if n := by[name]; n > 0 {
			list = append(list, fmt.Sprintf("%s %d", name, n))
			sum += n
		}
	}
	if sum > 0 {
		fmt.Fprintf(s, "\nCaught by %s, %d: %s.\n", what, sum, strings.Join(list, ", "))
	}
}
