package require

// A requirement is judged by clauses. Each has a margin of its own, whose share
// of a scale makes clauses with different units comparable.
type clause uint8

const (
	cutClause clause = iota
	reverseClause
	riseClause
	openClause
	peakClause
	staticClause
	runClause
	turnClause
	standsClause
	barClause
	doorClause
	barredClause
	saysClause
	permitClause
	downClause
	freesClause
	offClause
	nextClause
	startClause
	barStartClause
	lampClause
	wayClause
	backClause
	heardClause
	mannerClause
	gapClause
	voltsClause
	brownClause
	slackClause
	recordClause
	returnClause
	homeClause
	flashClause
	showClause
	limitClause
	answerClause
	lockedClause
	shutClause
	soundClause
	falseClause
	endedClause
	arriveClause
	teachClause
	locksClause
	reversalClause
	quietClause
	doorBackClause
	lockBackClause
	clauseCount
)

// requirement is an index into the list of requirements.
type requirement uint8

const (
	closeCut requirement = iota
	obstructionReversal
	contactForce
	travelTimeout
	lockInterlock
	stopOnPress
	noSurprise
	deadTime
	supplyGuard
	slackLimit
	taughtTravel
	lockFault
	alarmRule
	serviceRule
	recoveryRule
	requirementCount
)

// IDs are the requirements' names, in the order of docs/requirements.md and of
// [Set.Results].
var IDs = [requirementCount]string{
	"close-cut", "obstruction-reversal", "contact-force", "travel-timeout", "lock-interlock",
	"stop-on-press", "no-surprise", "dead-time", "supply-guard", "slack-limit",
	"taught-travel", "lock-fault", "alarm", "service", "recovery",
}

// clauses says what each clause belongs to, its word in docs/requirements.md, the
// unit of its margin, and the scale by which the margin is made a share.
var clauses = [clauseCount]struct {
	of    requirement
	word  string
	unit  string
	scale float64
}{
	cutClause:      {closeCut, "cut", "s", cutLimit},
	reverseClause:  {obstructionReversal, "reverse", "s", reverseLimit},
	riseClause:     {obstructionReversal, "rise", "m", riseLeast},
	openClause:     {obstructionReversal, "open", "m", openTolerance},
	peakClause:     {contactForce, "peak", "N", peakLimit},
	staticClause:   {contactForce, "static", "N", staticLimit},
	runClause:      {travelTimeout, "run", "s", runLimit},
	turnClause:     {travelTimeout, "turn", "s", turnLimit},
	standsClause:   {travelTimeout, "stands", "s", stalledLimit},
	barClause:      {lockInterlock, "bar", "m", downLimit},
	doorClause:     {lockInterlock, "door", "m", barScale},
	barredClause:   {lockInterlock, "barred", "s", offLimit},
	saysClause:     {lockInterlock, "says", "m", saysLimit},
	permitClause:   {lockInterlock, "permit", "s", permitLimit},
	downClause:     {lockInterlock, "down", "s", saysDownLimit},
	freesClause:    {lockInterlock, "frees", "s", freesLimit},
	offClause:      {stopOnPress, "off", "s", offLimit},
	nextClause:     {stopOnPress, "next", "runs", 1},
	startClause:    {noSurprise, "start", "s", startAfterPress},
	barStartClause: {noSurprise, "bar", "s", startAfterPress},
	lampClause:     {noSurprise, "lamp", "s", lampOut},
	wayClause:      {noSurprise, "way", "m", wayShort},
	backClause:     {noSurprise, "back", "runs", 1},
	heardClause:    {noSurprise, "heard", "s", heardLimit},
	mannerClause:   {noSurprise, "manner", "s", lampOut},
	gapClause:      {deadTime, "gap", "s", gapLeast},
	voltsClause:    {supplyGuard, "start", "V", 1},
	brownClause:    {supplyGuard, "brown-out", "s", brownLimit},
	slackClause:    {slackLimit, "slack", "m", slackMost},
	recordClause:   {taughtTravel, "record", "records", 1},
	returnClause:   {lockFault, "return", "s", returnLimit},
	homeClause:     {lockFault, "home", "m", barScale},
	flashClause:    {lockFault, "flash", "s", flashLimit},
	showClause:     {lockFault, "show", "s", showLimit},
	limitClause:    {lockFault, "limit", "s", strokeLimit},
	answerClause:   {lockFault, "answer", "s", answerLimit},
	lockedClause:   {lockFault, "locked", "s", showLimit},
	shutClause:     {lockFault, "shut", "s", lampOut},
	soundClause:    {alarmRule, "sounds", "s", soundLimit},
	falseClause:    {alarmRule, "false", "s", alarmWindow},
	endedClause:    {alarmRule, "ended", "s", soundLimit},
	arriveClause:   {serviceRule, "arrives", "s", serviceLimit},
	teachClause:    {serviceRule, "teaches", "s", teachLimit},
	locksClause:    {serviceRule, "locks", "s", lockBackLimit},
	reversalClause: {serviceRule, "reversal", "runs", 1},
	quietClause:    {serviceRule, "quiet", "alarms", 1},
	doorBackClause: {recoveryRule, "door", "presses", recoveryPresses},
	lockBackClause: {recoveryRule, "lock", "s", lockBackLimit},
}

// meter keeps the smallest margin of one clause at one bay or side.
type meter struct {
	margin float64
	at     int64 // step of it; where violated, the step at which the deadline passed
	seen   bool
	n      int32 // times that the clause was put to the test
}

// see takes up a margin that came about without the clause being put to the test
// to the end. It guides a search; it does not count as exercised.
func (m *meter) see(margin float64, at int64) {
	if !m.seen || margin < m.margin {
		m.margin, m.at, m.seen = margin, at, true
	}
}

// note takes up the margin of a finished test.
func (m *meter) note(margin float64, at int64) {
	m.see(margin, at)
	m.n++
}

// worsens takes up a margin below 0 that goes on falling: one test, violated at the step at
// which that was first told.
func (m *meter) worsens(told *bool, margin float64, now int64) {
	if *told {
		m.see(margin, m.at)
		return
	}
	*told = true
	m.note(margin, now)
}

// tried counts a test that was passed without leaving a margin.
func (m *meter) tried() { m.n++ }
