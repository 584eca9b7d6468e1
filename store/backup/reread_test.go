package backup_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

// TestReread: a registry of documents as they come today has none to tell of but kits that are not sure; what would be
// refused or stored otherwise is told, and left as it was.
func TestReread(t *testing.T) {
	t.Parallel()
	dsn, s := registry(t)
	told := func() string {
		all, err := s.Reread(t.Context(), nil)
		if err != nil {
			t.Fatal(err)
		}
		return fmt.Sprintln(all)
	}
	if got := told(); strings.Contains(got, "revision") || strings.Contains(got, "proposal") {
		t.Errorf("the seeds would be refused: %s", got)
	}
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if _, err := conn.Exec(t.Context(), `SET session_replication_role = replica`); err != nil {
		t.Skip("the tests' role can't damage what constraints hold")
	}
	for _, stored := range []struct{ sql, says string }{
		{`UPDATE revisions r SET document = convert_to(replace(convert_from(document, 'UTF8'), '"value":"47 µF"', '"value":"47 or 50 µF"'), 'UTF8')
			FROM boards b WHERE b.id = r.board AND b.current = r.number AND b.id = 'tarn-mx12-main'`,
			"of tarn-mx12-main would be refused today"},
		{`UPDATE proposal_maps SET document = convert_to(replace(convert_from(document, 'UTF8'), '"voltage":"16 V"', '"voltage":"16V"'), 'UTF8')`,
			"would be stored otherwise today"},
		{`UPDATE kit_versions SET document = convert_to('{"kit":"k","title":"t","lines":[{"line":1,"quantity":1,"text":"8 µF 450/500 V"}]}', 'UTF8')`,
			"is read with a doubt today"},
		{`UPDATE kit_versions SET document = convert_to('{"kit":"k","title":"t","lines":[{"line":1,"quantity":1,"text":"fuse T1A or F1A"}]}', 'UTF8')`,
			"is read with a doubt today"},
		{`UPDATE proposal_maps SET document = convert_to(replace(convert_from(document, 'UTF8'), '"voltage":"16V"', '"voltage":"16/25 V"'), 'UTF8')`,
			"would be refused today"},
	} {
		if _, err := conn.Exec(t.Context(), stored.sql); err != nil {
			t.Fatalf("%s: %v", stored.sql, err)
		}
		was := documents(t, conn)
		if got := told(); !strings.Contains(got, stored.says) {
			t.Errorf("%s: %s", stored.sql, got)
		}
		if documents(t, conn) != was {
			t.Errorf("%s: what is stored was rewritten", stored.sql)
		}
	}
}

// documents is a sum over all that is stored of maps and kits.
func documents(t *testing.T, conn *pgx.Conn) (sum string) {
	t.Helper()
	err := conn.QueryRow(t.Context(), `SELECT md5(string_agg(d, ',' ORDER BY d)) FROM (SELECT 'r' || board || number || md5(document) AS d FROM revisions
		UNION ALL SELECT 'p' || proposal || '-' || version || md5(document) FROM proposal_maps
		UNION ALL SELECT 'k' || kit || version || md5(document) FROM kit_versions) all_of_them`).Scan(&sum)
	if err != nil {
		t.Fatal(err)
	}
	return sum
}
