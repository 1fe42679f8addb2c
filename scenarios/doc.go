// Package scenarios reads the files that people edit: scenarios, trucks and
// logic tables.
//
// # The rules of the files
//
// Files are YAML, kept to what shows on the page: plain keys (words, spaces
// allowed, lower case), single values, lists and mappings. Anchors, aliases,
// tags, merge keys and several documents in a file are refused.
//
// Every quantity carries its unit: "32 kg", "70 lb", "6 ft 3-1/4 in", "11 V",
// "20 N/mm", "4 °C", "40 °F". SI and US customary units are read, spelled with
// or without special signs ("N·m", "N*m", "N m", "Nm"). lb is mass and lbf is
// force. A temperature difference is written in K. Ratios may be bare ("0.8")
// or in percent ("80 %"). Conversions are exact and rounded once.
//
// Unknown keys and words, missing keys, wrong dimensions and values out of
// range are errors with file, line and column, and the nearest valid word. All
// problems of a file are told at once, up to twenty.
//
// A part of a file may start from another file ("truck: trucks/produce-4bay.yaml",
// or the key "from") and change single values in place: mappings merge, lists
// and single values replace. Common values of all bays stand under "each bay";
// what a bay says itself wins, and what an outer file says wins over the file it
// starts from. An optional part is taken away with the word none. A change on
// the command line ("--set path=value") wins over all files; items of lists are
// counted from 0 there and in messages.
//
// A file may hold 1 MiB, 30,000 words and signs, and mappings 32 deep.
//
// # For the programmer
//
// A file is read into structs by their tags:
//
//	type Curtain struct {
//		scenarios.Located                                     // file, line and column for later checks
//		Mass     float64 `yaml:"mass,required" unit:"mass" range:"(0,500 kg]" doc:"mass of the whole curtain"`
//		Friction float64 `yaml:"dry friction" unit:"force" default:"25 N"`
//	}
//
// The tags are yaml (key, and ",required"), unit (a Dimension), range (an
// interval with units), default, words (the valid words of a string), each (the
// key of common values of a Map) and doc (one line for editors). Loader reads
// files, Map keeps names of the user's own choice in order, Chooser reads items
// whose kind a key selects, NodeDecoder reads any other shape, Checker judges
// what no tag can say, and Schema describes it all to editors.
package scenarios
