package report

import (
	"bytes"
	_ "embed" // the template and the style
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"

	"slatbench/sim/campaign"
	"slatbench/sim/require"
)

//go:embed campaign.html
var campaignText string

//go:embed campaign.css
var campaignStyle string

var campaignPages = pageOf("campaign", campaignText)

// Campaign is the report of a campaign.
type Campaign struct {
	Title, Verdict, Why string
	Violated            bool
	Facts               [][2]string // name and value
	Replay              string

	Tally      *campaign.Tally
	Matrix     *campaign.Matrix
	Violations []CampaignViolation
	Coverage   []campaign.Reached

	Search        []CampaignSearch
	SearchMeaning string

	Silent []CampaignSilent
}

// CampaignSilent is a controller that failed as a whole for one reason.
type CampaignSilent struct {
	Where, Why string
	Runs       int
	Cases      string  // the first of the runs
	At         float64 // s, in the first
	Command    string  // that plays the first
}

// Count of the runs.
func (s CampaignSilent) Count() string { return count(s.Runs) }

// Time in the first run.
func (s CampaignSilent) Time() string { return fixed(s.At, 2) }

// CampaignSearch is a requirement that guided runs have searched a violation of.
type CampaignSearch struct {
	Requirement, Word, Nearest, Clause string
	Found                              bool
	Runs                               int
	Command, Note                      string // where one was found
}

// Mark is the name of the sign before its word.
func (s CampaignSearch) Mark() string {
	if s.Found {
		return "bad"
	}
	return "none"
}

// CampaignViolation is a distinct violation with how to see it again.
type CampaignViolation struct {
	Requirement, Faults, What string
	Runs                      int
	Commands                  []string
	Note                      string
}

// campaignPage is what the template shows.
type campaignPage struct {
	Style                              template.CSS
	Title, Mark, Verdict, Why, Caution string
	Facts                              []fact
	Replay                             string

	Requirements []campaignRow
	Untried      []string
	Heads        []matrixHead
	Rows         []matrixRow
	Pairs        string
	Least        int
	Levels       []matrixCell
	Violations   []CampaignViolation
	Search       []CampaignSearch
	SearchNote   string
	Silent       []CampaignSilent
	SilentRuns   string
	SilentMore   string
	Fired, All   int
	Never        []campaign.Reached
	Exemptions   []exemptionRow
	Groups       []drawnGroup
	Cautions     []string
}

type campaignRow struct {
	ID, Asks, Mark, Verdict, Exercised, Violated, Exempt, Margin, Share, Clause, Run, Bound string
	Bar                                                                                     template.HTML
}

type matrixHead struct{ ID, Asks string }

type matrixRow struct {
	Kind, Runs string
	Cells      []matrixCell
}

// matrixCell is a cell: its class gives the colour, its text says the same without.
type matrixCell struct{ Class, Text, Title string }

type exemptionRow struct {
	Requirement, Fault, Reason, Witness string
	Runs                                string
}

type drawnGroup struct {
	Name string
	Laws []campaign.Distribution
}

// Write writes the page.
func (c *Campaign) Write(w io.Writer) error {
	p := &campaignPage{
		Style: template.CSS(styleText + campaignStyle), Title: c.Title, Verdict: c.Verdict, Why: c.Why, Mark: "ok",
		Caution: campaignCaution, Cautions: append([]string{}, cautions...), Replay: c.Replay,
		Least: campaign.LeastExercised, Violations: c.Violations, Levels: legend(),
		Search: c.Search, SearchNote: c.SearchMeaning,
		Silent: c.Silent, SilentRuns: count(c.Tally.Silent.Runs),
	}
	if n := c.Tally.SilencedElse; n > 0 {
		p.SilentMore = count(n)
	}
	switch {
	case c.Violated:
		p.Mark = "bad"
	case c.Tally.Silent.Runs > 0: // it was not there to be judged
		p.Mark = "exempt"
	}
	for _, f := range c.Facts {
		p.Facts = append(p.Facts, fact{Name: f[0], Value: f[1]})
	}
	c.requirements(p)
	c.cross(p)
	c.exemptions(p)
	p.All = len(c.Coverage)
	for _, t := range c.Coverage {
		if t.Runs > 0 {
			p.Fired++
		} else {
			p.Never = append(p.Never, t)
		}
	}
	for _, d := range campaign.Distributions() {
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Name != d.Group {
			p.Groups = append(p.Groups, drawnGroup{Name: d.Group})
		}
		g := &p.Groups[len(p.Groups)-1]
		g.Laws = append(g.Laws, d)
	}
	var out bytes.Buffer
	if err := campaignPages.Execute(&out, p); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

func (c *Campaign) requirements(p *campaignPage) {
	for i, id := range require.IDs {
		cell := &c.Tally.Requirements[i]
		if cell.Exercised == 0 {
			p.Untried = append(p.Untried, id)
			continue
		}
		v := cellVerdict(id, cell)
		row := campaignRow{
			ID: id, Asks: asks[id], Mark: verdictMarks[v], Verdict: v.String(),
			Exercised: count(cell.Exercised), Violated: count(cell.Violated), Exempt: count(cell.Exempt),
		}
		if !unshown(cell.Share) {
			row.Margin, row.Share, row.Clause = marginText(cell.Margin, cell.Unit), shareText(cell.Share), cell.Clause
			row.Run = strconv.FormatUint(cell.At, 10)
			row.Bar = template.HTML(marginBar(cell.Share, v))
		}
		if high, ok := c.Tally.Bound(cell); ok && v != require.Measured {
			row.Bound = perCentUp(high)
		}
		p.Requirements = append(p.Requirements, row)
	}
}

// cellVerdict is what runs have come to on one requirement.
func cellVerdict(id string, c *campaign.Cell) require.Verdict {
	switch {
	case c.Violated > 0:
		return require.Violated
	case id == "contact-force":
		return require.Measured
	case c.Exempt > 0 && c.Exempt == c.Exercised:
		return require.Exempt
	}
	return require.Holds
}

func (c *Campaign) cross(p *campaignPage) {
	for _, id := range c.Matrix.Requirements {
		p.Heads = append(p.Heads, matrixHead{id, asks[id]})
	}
	for k, kind := range c.Matrix.Columns {
		runs := c.Tally.ByKind[k][0].Runs
		if runs == 0 {
			continue
		}
		row := matrixRow{Kind: kind, Runs: count(runs)}
		for i, id := range c.Matrix.Requirements {
			row.Cells = append(row.Cells, crossing(id, kind, &c.Matrix.Cells[i][k]))
		}
		p.Rows = append(p.Rows, row)
	}
	if c.Tally.PairRuns > 0 {
		p.Pairs = count(c.Tally.PairRuns)
	}
}

// Shares at which the colour of a cell changes.
const (
	closeShare = 0.10
	nearShare  = 0.25
	farShare   = 0.50
)

func crossing(id, kind string, c *campaign.MatrixCell) matrixCell {
	out := matrixCell{Title: fmt.Sprintf("%s with %s: %s. Exercised in %s of %s runs, violated in %s, exempt in %s.",
		id, kind, c.Say, count(c.Exercised), count(c.Runs), count(c.Violated), count(c.Exempt))}
	if !unshown(c.Share) {
		out.Title += fmt.Sprintf(" Least margin %s (%s), %s of its limit, in run %d.", marginText(c.Margin, c.Unit), c.Clause, shareText(c.Share), c.At)
	}
	switch c.Say {
	case campaign.Broken:
		out.Class, out.Text = "x-bad", "✕ "+tenthless(c.Share)
	case campaign.Excused:
		out.Class, out.Text = "x-exempt", "e "+tenthless(c.Share)
	case campaign.MeasuredOnly:
		out.Class, out.Text = "x-measured", "m "+tenthless(c.Share)
	case campaign.NotShown:
		out.Class, out.Text = "x-none", "("+count(c.Exercised)+")"
	case campaign.NotJudged:
		out.Class, out.Text = "x-none", "–"
	default:
		out.Class, out.Text = shade(c.Share), tenthless(c.Share)
	}
	return out
}

// shade is the class of a margin that was kept.
func shade(share float64) string {
	switch {
	case share < closeShare:
		return "x-close"
	case share < nearShare:
		return "x-near"
	case share < farShare:
		return "x-mid"
	}
	return "x-far" // also where nothing came near
}

// legend is the cells of the legend.
func legend() []matrixCell {
	return []matrixCell{
		{"x-bad", "✕ −12", "violated"}, {"x-close", "4", "under 10 % left"}, {"x-near", "18", "10 to 25 %"},
		{"x-mid", "36", "25 to 50 %"}, {"x-far", "82", "50 % or more"}, {"x-exempt", "e 31", "exempt in some runs"},
		{"x-measured", "m −2", "measured, not judged"}, {"x-none", "(37)", "not shown: exercised too seldom"}, {"x-none", "–", "not judged under faults"},
	}
}

// tenthless is a share in whole per cent, towards the worse.
func tenthless(share float64) string {
	switch {
	case math.IsNaN(share):
		return "✓"
	case share > 9.99:
		return ">999"
	case share < -0.99:
		return "<−99"
	}
	n := int(math.Floor(share * 100))
	if n < 0 {
		return "−" + strconv.Itoa(-n)
	}
	return strconv.Itoa(n)
}

// exemptions are those that some run has met.
func (c *Campaign) exemptions(p *campaignPage) {
	for k, kind := range c.Matrix.Columns {
		for i, id := range c.Matrix.Requirements {
			cell := &c.Tally.ByKind[k][i]
			if e := cell.Exemption; cell.Exempt > 0 && e != nil {
				p.Exemptions = append(p.Exemptions, exemptionRow{id, kind, e.Reason, e.Witness, count(cell.Exempt)})
			}
		}
	}
}

// perCentUp is a bound in per cent, rounded up so that it stays one.
func perCentUp(x float64) string {
	percent := x * 100
	digits := 1
	if percent > 0 {
		digits = max(0, 1-int(math.Floor(math.Log10(percent))))
	}
	scale := math.Pow(10, float64(digits))
	return strconv.FormatFloat(math.Ceil(percent*scale)/scale, 'f', digits, 64) + " %"
}

// count is a number with its thousands apart.
func count(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "\u202f" + text[i:]
	}
	return text
}

const campaignCaution = "Verdicts on a model, with invented data and invented distributions. What was not drawn was not tried, " +
	"and no number here is a probability in the field. A wound torsion spring can maim; keep clear of a moving door."
