package main

import (
	"fmt"
	"strconv"
	"strings"

	"slatbench/sim"
	"slatbench/sim/require"
)

// What the audit says to a person, by the rules of messages.go.

// Flags of audit.
const (
	flagAuditLogic = "the logic table `FILE`, as the argument says it"
	flagAuditTruck = "on the truck `FILE`: the first bay of each side, the last of them without its edge"
	flagAuditSeed  = "seed `N` of the stimuli"
	flagDraws      = "draw `N` cases to find stimuli among, and make as many copies of them"
	flagBudget     = "play at most `N` runs for each mutant"
	flagAuditOnly  = "only mutants whose ID is TEXT, or that read `TEXT`"
	flagNoRules    = "leave the design rules out: what do the requirements catch alone?"
	flagAuditAll   = "list every mutant that was not caught, and every answer never reached"
)

var helpAudit = help{
	"would the rules and requirements notice bad logic? mutate it and see",
	`Makes every systematic mistake in a logic table: each transition deleted, sent
elsewhere, copied to another state; each guard dropped or turned round; each output
changed; each alarm and action dropped; each threshold and time scaled by 0.5, 0.8,
1.25, 2 and 10. One that breaks a design rule (docs/rules.md) which the original keeps
is caught by it. Every other is played on stimuli that come to where it is mistaken,
until a requirement is broken that the original keeps, or its budget is spent.

  caught        a design rule is broken, or a requirement was when it was played
  survived      it did something else, and none was broken
  undetermined  it did nothing else in any run that was tried
  equivalent    the table's structure shows that it changes nothing
  refused       the loader does not take it

Which mutants are safety-relevant, and the written reasons for those of the shipped
logic that are let pass, is in docs/audit.md.

Exit codes: 0 every safety-relevant mutant is caught or has a written reason, 1 one has
not, 2 bad input or usage, or interrupted.`,
	`slatbench audit
slatbench audit my-logic.yaml --budget 100
slatbench audit --only "closing on stall" --all
slatbench audit --only "tuning: pause" --draws 500
slatbench audit --no-rules --only landing
slatbench audit --json | jq '.mutants[] | select(.fate == "survived")'`,
}

func auditCount(flag string, value, most int) error {
	return wrong{fmt.Sprintf("--%s %d: expected a whole number from 1 to %d", flag, value, most), ""}
}

func auditTwice(arg, flag string) error {
	return wrong{fmt.Sprintf("two logics, %q and --logic %q: expected one", arg, flag), ""}
}

func noMutant(text string) error {
	return wrong{fmt.Sprintf("no mutant has the ID %q or reads so", text), "slatbench audit --json lists all of them"}
}

func auditProgressText(phase string, done, of int64) string {
	return fmt.Sprintf("%s: %d of %d", phase, done, of)
}

// Words of the sheet.
var auditHeads = [...]string{"mistake", "mutants", "refused", "equivalent", "caught", "survived", "undetermined"}

const (
	auditAllMutants = "all"
	auditRelevant   = "safety-relevant"
	auditByRule     = "design rule"
	auditByRun      = "requirement"
	auditRun        = "run: "
	auditReason     = "reason: "
	auditLocked     = "locked"
	auditUntaught   = "nothing taught"
	auditTick       = 0.01 // s
)

func (r *auditReport) head() []string {
	f, x := r.flags, r.result
	rows := []string{
		"Audit of " + r.audit.Base.Name,
		fmt.Sprintf("%s, %s stimuli out of %s cases, seed %d, at most %d runs a mutant; %s runs of mutants",
			counted(len(r.list), "mutant"), grouped(x.Stimuli), grouped(2*f.draws), f.seed, f.budget, grouped(x.Runs)),
	}
	if x.Stimuli == 0 {
		rows[1] = counted(len(r.list), "mutant") + ", none of which had to be played"
	}
	if x.Broken > 0 {
		rows = append(rows, fmt.Sprintf("in %s of the stimuli the logic itself breaks a requirement (%s); there only the others are judged",
			grouped(x.Broken), strings.Join(countedIDs(x.Breaks), ", ")))
	}
	if f.only != "" {
		rows = append(rows, "only mutants that read "+strconv.Quote(f.only))
	}
	return rows
}

// countedIDs are requirements with their counts, those of none left out.
func countedIDs(counts []int) (list []string) {
	for i, n := range counts {
		if n > 0 {
			list = append(list, require.IDs[i]+" "+grouped(n))
		}
	}
	return list
}

// grouped writes a count with its thousands apart.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}

func auditCaughtBy(what string, n int, list []string) string {
	if list == nil {
		return "No " + what + " has caught any."
	}
	return "Caught by a " + what + ", " + grouped(n) + ": " + strings.Join(list, ", ") + "."
}

func auditUnfired(n, of int) string {
	return fmt.Sprintf("%d of the %d answers of the logic were never reached (--all lists them)", n, of)
}

func auditOpen(n int) string {
	return counted(n, "safety-relevant mutant") + " not caught, without a written reason"
}

func auditRest(n int) string { return counted(n, "other mutant") + " not caught" }

func auditMore(n int) string { return counted(n, "other mutant") + " not caught; --all lists them" }

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return grouped(n) + " " + what + "s"
}

func auditSurvived(where string, at float64, what string, kinds []string) string {
	text := fmt.Sprintf("survived: first differs at %s after %.2f s awake: %s", where, at, what)
	if len(kinds) > 0 {
		text += "; in all runs it differs in " + strings.Join(kinds, ", ")
	}
	return text
}

func auditUndetermined(reach int) string {
	if reach == 0 {
		return "undetermined: no stimulus comes to where it is mistaken"
	}
	stimuli := grouped(reach) + " stimuli come there"
	if reach == 1 {
		stimuli = "1 stimulus comes there"
	}
	return "undetermined: no difference in the runs tried; " + stimuli
}

// auditSteps are what people do, in words.
var auditSteps = map[sim.ActionKind]string{
	sim.Press: "press", sim.TeachHold: "teach", sim.LockAsk: "lock", sim.UnlockAsk: "unlock",
	sim.BypassLock: "bar pushed out by hand at", sim.BypassUnlck: "bar pulled in by hand at",
}

func auditStands(bay string, height float64) string { return fmt.Sprintf("%s at %.3g m", bay, height) }

func auditStep(at float64, what, place string) string {
	return fmt.Sprintf("%.2f s %s %s", at, what, place)
}

func auditFault(from, until float64, kind, place string) string {
	if place != "" {
		place = " " + place
	}
	return fmt.Sprintf("%.2f to %.2f s %s%s", from, until, kind, place)
}

func (r *auditReport) summary() string {
	a, s := r.count(all), r.count(relevant)
	text := fmt.Sprintf("%d of the %d mutants that play are caught (%s); of the %d safety-relevant ones %d (%s)",
		a.playing()-a[campaignSurvived]-a[campaignUndetermined], a.playing(), a.share(), s.playing(), s[campaignCaught], s.share())
	if len(r.open) == 0 && s[campaignSurvived]+s[campaignUndetermined] > 0 {
		text += "; each of the others has a written reason"
	}
	return text
}

// replay is the command that plays the same audit again.
func (r *auditReport) replay() string {
	f := r.flags
	words := []string{"slatbench", "audit", f.logic, "--truck", f.truck, "--seed", strconv.FormatUint(f.seed, 10),
		"--draws", strconv.Itoa(f.draws), "--budget", strconv.Itoa(f.budget)}
	if f.noRules {
		words = append(words, "--no-rules")
	}
	if f.only != "" {
		words = append(words, "--only", f.only)
	}
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}
