// Package keep keeps the runs of a campaign in a SQLite file, and gives them back.
//
// # What may go wrong, and what then holds
//
// The program may be killed, and the machine may lose power, at any instant. Runs
// are committed in batches, in the order of their index and without a gap, each
// batch whole or not at all (write-ahead log, synced at every commit). So a file
// holds the runs 0 to n-1 for some n, each once; a campaign that goes on begins at
// n, and since a run follows from campaign and index alone, what comes out is what
// an uninterrupted campaign gives.
//
// A new file appears under its name only with all that identifies its campaign in
// it. A file is looked at before it is opened for writing, in a way that changes
// not a byte: one of another campaign, another version or another program is
// refused as it lies. One process at a time has a file.
//
// docs/campaign-files.md has the tables and their columns.
package keep
