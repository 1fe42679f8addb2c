package keep

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"

	"slatbench/sim/wholefile"
)

// File is an open file of a campaign.
type File struct {
	name   string
	db     *sql.DB
	conn   *sql.Conn
	codec  *codec
	id     Identity
	sets   map[string]int64 // number of each set of fault kinds that is in the file
	next   uint64           // index of the next run
	batch  batch
	leaves string // a file that goes when this is closed
	err    error  // of the first write that failed
}

// ctx: what this package does is short, and not given up half way.
var ctx = context.Background()

// Open opens the file of a campaign to go on with it, or makes it. A file of
// another campaign, version or program is refused unchanged.
func Open(name string, id Identity) (*File, error) {
	if _, err := os.Stat(name); errors.Is(err, fs.ErrNotExist) {
		if err := create(name, &id); err != nil {
			return nil, err
		}
	}
	held, err := check(name, &id)
	if err != nil {
		return nil, err
	}
	if err := writable(name); err != nil {
		return nil, err
	}
	return open(name, "_pragma=busy_timeout(0)&_pragma=locking_mode(EXCLUSIVE)&_pragma=synchronous(FULL)&mode=rw", held)
}

// Check tells whether a file is of a campaign, and changes nothing.
func Check(name string, id Identity) error {
	_, err := check(name, &id)
	return err
}

func check(name string, id *Identity) (map[string]string, error) {
	held, err := look(name)
	if err != nil {
		return nil, err
	}
	return held, id.differs(name, held)
}

// writable tells whether a file may be written: SQLite would only open it to be read.
func writable(name string) error {
	file, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("cannot write %q: %w", name, errors.Unwrap(err))
	}
	return file.Close()
}

// OpenToRead opens the file of any campaign of this version, to read it only. Neither it
// nor a log that a killed campaign has left beside it is changed. With a log the whole of
// both is looked through: a log says nowhere which file it belongs to, and if another copy
// of the file has been put in its place, taking the log in would spoil that.
func OpenToRead(name string) (*File, error) {
	held, err := look(name)
	if err != nil {
		return nil, err
	}
	if is, want := held["requirements"], judges(); is != want {
		return nil, fmt.Errorf("%q was written by another version of slatbench: its requirements are %s, and %s was expected", name, is, want)
	}
	// A log beside it may hold runs; without one, nothing beside it is needed.
	if !HasLog(name) {
		return open(name, "mode=ro&immutable=1", held)
	}
	return openWithLog(name, held)
}

// openWithLog opens a file to read it with a log beside it. A connection that may only
// read leaves both as they are, and behind it what SQLite shares a log by.
func openWithLog(name string, held map[string]string) (*File, error) {
	shared := name + "-shm"
	if _, err := os.Stat(shared); err == nil {
		shared = "" // somebody else's
	}
	f, err := open(name, "_pragma=busy_timeout(0)&mode=ro", held)
	if err != nil {
		if shared != "" {
			os.Remove(shared)
		}
		return nil, err
	}
	f.leaves = shared
	if err := f.fits(); err != nil {
		f.release()
		return nil, err
	}
	return f, nil
}

// fits looks through a file and its log.
func (f *File) fits() error {
	var word string
	err := f.conn.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&word)
	if err == nil && word != "ok" {
		return fmt.Errorf("%q is damaged: %s", f.name, word)
	}
	return worded0(f.name, err)
}

// create makes the file, whole or not at all.
func create(name string, id *Identity) error {
	// A log without its database would be taken for the new one's.
	for _, beside := range []string{name + "-wal", name + "-journal"} {
		if _, err := os.Stat(beside); err == nil {
			return fmt.Errorf("%q is left of a database that is gone: bring %q back, or remove it", beside, filepath.Base(name))
		}
	}
	bytes, err := image(id)
	if err != nil {
		return err
	}
	file, err := wholefile.Create(name)
	if err != nil {
		return err
	}
	defer file.Discard()
	if _, err := file.Write(bytes); err != nil {
		return err
	}
	return file.Commit()
}

// lookBytes is how much of a file is looked at: more than a new one has.
const lookBytes = 1 << 18

// look reads what identifies the campaign of a file, and changes nothing. It was in
// the file before the file had its name, and is never written again. So it is read
// from a copy of the file's beginning, past a log, past a process that writes, and
// where a log has been taken in by half.
func look(name string) (map[string]string, error) {
	head, err := ours(name)
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, worded(name, err)
	}
	defer db.Close()
	conn, err := db.Conn(ctx)
	if err != nil {
		return nil, worded(name, err)
	}
	defer conn.Close()
	if err := deserialize(conn, head); err != nil {
		return nil, worded(name, err)
	}
	held, err := pairs(conn)
	return held, worded0(name, err)
}

func pairs(conn *sql.Conn) (map[string]string, error) {
	rows, err := conn.QueryContext(ctx, "SELECT key, value FROM campaign")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	held := map[string]string{}
	for rows.Next() {
		var key, value string
		if err := rows.Scan(&key, &value); err != nil {
			return nil, err
		}
		held[key] = value
	}
	return held, rows.Err()
}

// Places in the header of SQLite's file format, section 1.3.
const (
	atSize    = 28 // pages of the file
	atFormat  = 60 // user_version
	atProgram = 68 // application_id
)

// ours looks at the header: SQLite, ours, of this version. It gives the beginning of
// the file, in whole pages.
func ours(name string) ([]byte, error) {
	switch info, err := os.Stat(name); {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("no file %q", name)
	case err == nil && info.IsDir():
		return nil, fmt.Errorf("cannot open %q: it is a folder, and a file was expected", name)
	case err == nil && !info.Mode().IsRegular(): // a pipe could block for ever
		return nil, fmt.Errorf("cannot open %q: it is no regular file", name)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("cannot open %q: %w", name, errors.Unwrap(err))
	}
	defer file.Close()
	head, err := io.ReadAll(io.LimitReader(file, lookBytes))
	switch {
	case err != nil:
		return nil, fmt.Errorf("cannot read %q: %w", name, errors.Unwrap(err))
	case len(head) < 100 || string(head[:16]) != "SQLite format 3\x00":
		return nil, fmt.Errorf("%q is not a database of a campaign", name)
	case binary.BigEndian.Uint32(head[atProgram:]) != applicationID:
		return nil, fmt.Errorf("%q is a database, but not one of a campaign", name)
	}
	if is := binary.BigEndian.Uint32(head[atFormat:]); is != formatVersion {
		return nil, fmt.Errorf("%q was written by another version of slatbench: its format is %d, and %d was expected", name, is, formatVersion)
	}
	pages := len(head) / pageSize
	if pages == 0 {
		return nil, fmt.Errorf("%q is damaged: it ends in its first page", name)
	}
	binary.BigEndian.PutUint32(head[atSize:], uint32(pages)) // of the copy
	return head[:pages*pageSize], nil
}

func uri(name, query string) string { return "file:" + url.PathEscape(name) + "?" + query }

func open(name, query string, held map[string]string) (*File, error) {
	f := &File{name: name, codec: newCodec(), sets: map[string]int64{}}
	var err error
	if f.id, err = identityOf(held); err != nil {
		return nil, fmt.Errorf("%q is damaged: %w", name, err)
	}
	if f.db, err = sql.Open("sqlite", uri(name, query)); err != nil {
		return nil, worded(name, err)
	}
	if err := f.begin(); err != nil {
		f.release()
		return nil, err
	}
	return f, nil
}

// begin takes the file, and finds out where it ends.
func (f *File) begin() (err error) {
	if f.conn, err = f.db.Conn(ctx); err != nil {
		return worded(f.name, err)
	}
	var count, most sql.NullInt64
	if err := f.conn.QueryRowContext(ctx, "SELECT count(*), max(idx) FROM run").Scan(&count, &most); err != nil {
		return worded(f.name, err)
	}
	if most.Valid && count.Int64 != most.Int64+1 {
		return fmt.Errorf("%q is damaged: it holds %d runs, and the last is run %d", f.name, count.Int64, most.Int64)
	}
	f.next = uint64(count.Int64)
	rows, err := f.conn.QueryContext(ctx, "SELECT kinds, id FROM fault_set")
	if err != nil {
		return worded(f.name, err)
	}
	defer rows.Close()
	for rows.Next() {
		var kinds string
		var id int64
		if err := rows.Scan(&kinds, &id); err != nil {
			return worded(f.name, err)
		}
		f.sets[kinds] = id
	}
	return worded0(f.name, rows.Err())
}

// worded0 leaves nil as it is.
func worded0(name string, err error) error {
	if err == nil {
		return nil
	}
	return worded(name, err)
}

// Runs is how many runs are in the file, those that wait to be written included:
// the runs 0 to Runs()-1.
func (f *File) Runs() uint64 { return f.next }

// Identity is that of the campaign whose runs these are.
func (f *File) Identity() Identity { return f.id }

// Close writes what waits, and gives the file back.
func (f *File) Close() error {
	err := f.Flush()
	return errors.Join(err, f.release())
}

func (f *File) release() error {
	if f.conn != nil {
		f.conn.Close()
	}
	err := f.db.Close()
	if f.leaves != "" {
		os.Remove(f.leaves)
	}
	return worded0(f.name, err)
}
