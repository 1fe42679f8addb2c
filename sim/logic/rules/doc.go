// Package rules checks a logic table by its structure alone, before anything moves: what
// must be answered in which state, what an answer must ask first, where it may lead, and
// what it must tell.
//
// The rules speak of conduct, never of names: a state is what it drives, says and shows,
// and how it is come to. They complement the requirements, which judge what a truck did
// for any controller. A table cannot hide from them in what is seldom met: a guard that
// three others repeat today, or a word that is wrong for one tick. They are design rules
// chosen here (common practice, no source); the limits of the tuning are those of the
// requirements, which docs/requirements.md gives with their sources.
package rules
