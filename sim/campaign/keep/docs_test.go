package keep_test

import (
	"database/sql"
	"os"
	"strings"
	"testing"

	"slatbench/sim/campaign/keep"
	"slatbench/sim/require"
)

// TestDocsNameEveryColumn holds docs/campaign-files.md to the columns of an export
// and to the lines of an identity.
func TestDocsNameEveryColumn(t *testing.T) {
	data, err := os.ReadFile("../../../docs/campaign-files.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(data)
	for _, c := range keep.Columns() {
		name := c.Name
		for _, id := range require.IDs {
			name = strings.TrimPrefix(name, id)
		}
		if !strings.Contains(page, "| `"+name+"` |") {
			t.Errorf("docs/campaign-files.md has no row for column %q", name)
		}
	}
	keys := columnOf(t, filled(t, 1), "SELECT key FROM campaign")
	if len(keys) < 10 {
		t.Fatalf("table campaign has only %q", keys)
	}
	for _, key := range keys {
		if !strings.Contains(page, "`"+key+"`") {
			t.Errorf("docs/campaign-files.md does not say what %q is in table campaign", key)
		}
	}
}

func columnOf(t *testing.T, name, query string) (list []string) {
	t.Helper()
	db, err := sql.Open("sqlite", name)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.Query(query)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		list = append(list, text)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return list
}
