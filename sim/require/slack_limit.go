package require

// slackGrows keeps the most slack of a run down and where it passed the limit.
func (t *bayTruth) slackGrows(slack float64, now int64) {
	t.slack, t.slackAt = slack, now
	if slack > slackMost && t.overSlack == never {
		t.overSlack = now
	}
}

// noteSlack judges slack-limit at the end of a run down.
func (t *bayTruth) noteSlack() {
	if t.slack == 0 {
		return
	}
	at := min(t.slackAt, t.overSlack)
	if t.slack < slackTried {
		t.m[slackClause].see(slackMost-t.slack, at)
	} else {
		t.m[slackClause].note(slackMost-t.slack, at)
	}
	t.slack, t.overSlack = 0, never
}
