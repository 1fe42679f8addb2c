package report

import "strings"

// Every sentence of the page that is not a figure.

// cautions stand near the top and at the end of every report.
var cautions = []string{
	"A wound torsion spring stores enough energy to maim. Keep hands and tools off springs, cables and drums unless you are qualified and the spring is secured.",
	"Keep clear of a moving door, and keep others clear, whenever a drive has power.",
	"This is a simulation with stated and partly invented parameters. It is no test of a real door, and no certification.",
	"Local codes and the judgement of a licensed or qualified person decide, not this report.",
	"The standards named here were written for other kinds of door. They are used as yardsticks and say nothing about conformity.",
}

const cautionShort = "A simulation, no certification. A wound torsion spring can maim; keep clear of a moving door. " +
	"Local codes and licensed or qualified practice decide."

// asks says in a line what a requirement asks for.
var asks = map[string]string{
	"close-cut":            "closing into something: drive off within 0.5 s",
	"obstruction-reversal": "then turned within 2 s of contact, and fully open",
	"contact-force":        "400 N at the peak, 150 N after 0.75 s",
	"travel-timeout":       "no run outlasts 15 s; a closing that finds no floor turns",
	"lock-interlock":       "no bar against a door that is up, no door against a bar",
	"stop-on-press":        "a press stops within 50 ms; the next opens",
	"no-surprise":          "nothing starts without a press, but a reversal",
	"dead-time":            "100 ms without voltage between directions",
	"supply-guard":         "no start on less than 10.9 V; off after a brown-out",
	"slack-limit":          "no more than 150 mm of slack cable while driven down",
	"taught-travel":        "losing power while teaching leaves a whole record",
	"lock-fault":           "a bar that cannot arrive goes back; the lamp says so",
	"alarm":                "what is wrong is sounded within 1 s, and nothing else",
	"service":              "within ratings, a press opens or closes within 12 s",
	"recovery":             "once mended, doors and locks work again",
}

func title(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func plural(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return short(float64(n), 9) + " " + one + "s"
}
