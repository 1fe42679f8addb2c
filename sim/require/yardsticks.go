package require

// Limits that charts draw beside what is judged by them. docs/requirements.md says where
// they come from.
const (
	ContactPeak   = peakLimit   // N, contact-force
	ContactStatic = staticLimit // N, contact-force
	SupplyStart   = supplyLow   // V, supply-guard
	SlackMost     = slackMost   // m, slack-limit
)
