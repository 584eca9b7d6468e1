package backup_test

import (
	"archive/tar"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"boardlore/domain/review"
	"boardlore/domain/transparency"
	"boardlore/seeds"
	"boardlore/store"
	"boardlore/store/backup"
	"boardlore/store/cluster"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

func migrate(ctx context.Context, u string) error { return store.Migrate(ctx, u, nil) }

// registry is a database with the demo's boards in it.
func registry(t *testing.T) (dsn string, s *store.Store) {
	t.Helper()
	dsn = storetest.DSN(t, migrate)
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	if _, err := seeds.Load(t.Context(), s, func(string) {}); err != nil {
		t.Fatal(err)
	}
	return dsn, s
}

// TestRehearsal: a registry that is being written to is saved, and comes back
// whole into a given database and into a private cluster.
func TestRehearsal(t *testing.T) {
	t.Parallel()
	dsn, s := registry(t)
	if _, err := s.Log(t.Context()); err != nil { // as a server does at its start
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "registry.backup")
	stop := make(chan struct{})
	writing := make(chan error, 1)
	go func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				writing <- nil
				return
			default:
			}
			if _, err := s.AddAccount(context.Background(), fmt.Sprintf("busy %d", i), review.Contributor); err != nil {
				writing <- err
				return
			}
		}
	}()
	m, err := backup.Save(t.Context(), dsn, file, "test", nil)
	close(stop)
	if err := errors.Join(err, <-writing); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if left, _ := filepath.Glob(file + ".*"); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
	if m.Counts["revisions"] < 3 || m.Counts["kits"] < 4 || m.Events < 10 {
		t.Errorf("it says that it holds %v", m)
	}
	if _, err := backup.Save(t.Context(), dsn, file, "test", nil); err == nil || !strings.Contains(err.Error(),
		"is there already") {
		t.Errorf("over a file that is there: %v", err)
	}
	readableAlone(t, file)

	bare := storetest.DSN(t, nil)
	if _, err := backup.IntoDatabase(t.Context(), file, bare, nil); err != nil {
		t.Fatal(err)
	}
	same(t, s, bare)
	departed(t, s, bare)
	if _, err := backup.IntoDatabase(t.Context(), file, bare, nil); err == nil || !strings.Contains(err.Error(),
		"holds something already") {
		t.Errorf("over a database that is there: %v", err)
	}

	dir := filepath.Join(t.TempDir(), "data")
	if _, err := backup.IntoFolder(t.Context(), file, dir, nil); err != nil {
		t.Fatal(err)
	}
	c, err := cluster.Use(t.Context(), dir, cluster.Options{NoFetch: true})
	if err != nil {
		t.Fatal(err)
	}
	same(t, s, c.URL())
	departed(t, s, c.URL())
	if err := c.Close(t.Context()); err != nil {
		t.Error(err)
	}
	if _, err := backup.IntoFolder(t.Context(), file, dir, nil); err == nil || !strings.Contains(err.Error(),
		"name an empty folder") {
		t.Errorf("over a folder that is there: %v", err)
	}
}

// readableAlone: the file is a tar, and its dump PostgreSQL's own.
func readableAlone(t *testing.T, file string) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var names []string
	r := tar.NewReader(f)
	for {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		head := make([]byte, 5)
		if _, err := io.ReadFull(r, head); err != nil {
			t.Fatal(err)
		}
		if h.Name == "database.dump" && string(head) != "PGDMP" { // the custom format's own first bytes
			t.Errorf("the dump begins with %q", head)
		}
		names = append(names, h.Name)
	}
	if got := strings.Join(names, " "); got != "database.dump manifest.json seal.sha256" {
		t.Errorf("it holds %s", got)
	}
}

// same: every revision of the registry is in the database behind dsn, and is the same.
func same(t *testing.T, s *store.Store, dsn string) {
	t.Helper()
	back, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	boards, err := s.Boards(t.Context(), store.BoardFilter{})
	if err != nil || len(boards.Items) == 0 {
		t.Fatal(boards, err)
	}
	for _, b := range boards.Items {
		for n := 1; n <= b.Revision; n++ {
			want, err := s.Revision(t.Context(), b.ID, n, "")
			if err != nil {
				t.Fatal(err)
			}
			if got, err := back.Revision(t.Context(), b.ID, n, ""); err != nil || got.Digest != want.Digest ||
				!bytes.Equal(got.Canonical, want.Canonical) {
				t.Errorf("%s, revision %d: %v", b.ID, n, err)
			}
		}
	}
}

// departed: the log of what came back goes on under another name and key, and
// the key of the registry that was saved says so and where.
func departed(t *testing.T, s *store.Store, dsn string) {
	t.Helper()
	back, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	was, err := s.Log(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	is, err := back.Log(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	size, err := s.LogSize(t.Context())
	if err != nil || size == 0 {
		t.Fatal(size, err)
	}
	v, err := note.NewVerifier(was.Key)
	if err != nil {
		t.Fatal(err)
	}
	w, err := transparency.OpenSuccession([]byte(is.Note), v)
	if err != nil || w.Origin != was.Origin || w.Next != is.Origin || w.Key != is.Key || w.Size != size {
		t.Errorf("the word %q reads %+v, %v; want one of %s on %s, at %d entries", is.Note, w, err, was.Key, is.Key,
			size)
	}
	if is.Origin == was.Origin || is.Key == was.Key || is.First != was.First {
		t.Errorf("what came back signs as %+v, what was saved as %+v", is, was)
	}
	signed, n, err := back.Checkpoint(t.Context())
	if err != nil || n != size {
		t.Fatal(n, err)
	}
	now, err := note.NewVerifier(is.Key)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := transparency.OpenCheckpoint(signed, now); err != nil {
		t.Error(err)
	}
	before, err := s.RootAt(t.Context(), size)
	if err != nil {
		t.Fatal(err)
	}
	if after, err := back.RootAt(t.Context(), size); err != nil || after != before {
		t.Errorf("the log that came back is another one: %v, %v; %v", after, before, err)
	}
}

// TestAltered: a backup in which any byte is another, or that ends early or
// late, is refused before anything is made of it.
func TestAltered(t *testing.T) {
	t.Parallel()
	dsn, _ := registry(t)
	file := filepath.Join(t.TempDir(), "registry.backup")
	if _, err := backup.Save(t.Context(), dsn, file, "test", nil); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(t.TempDir(), "data")
	refused := func(what string, data []byte) {
		t.Helper()
		bad := filepath.Join(t.TempDir(), "bad")
		if err := os.WriteFile(bad, data, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := backup.IntoFolder(t.Context(), bad, dir, nil); !errors.Is(err, backup.ErrFile) {
			t.Errorf("%s: %v", what, err)
		}
		if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
			t.Fatalf("%s: something is left behind: %v", what, err)
		}
	}
	for i := 0; i < 200; i++ { // over the whole file, its ends byte by byte
		at := []int{i * 5, len(whole) - 1 - i*7, i * len(whole) / 200}[i%3]
		data := bytes.Clone(whole)
		data[at] ^= 1 << (i % 8)
		refused(fmt.Sprintf("byte %d", at), data)
	}
	for _, n := range []int{0, 1, 511, 512, len(whole) / 2, len(whole) - 1024, len(whole) - 1} {
		refused(fmt.Sprintf("cut to %d", n), whole[:n])
	}
	refused("longer", append(bytes.Clone(whole), 0))
}

// TestNothingLeft: what does not come back whole is taken out again.
func TestNothingLeft(t *testing.T) {
	t.Parallel()
	dsn, _ := registry(t)
	file := filepath.Join(t.TempDir(), "registry.backup")
	if _, err := backup.Save(t.Context(), dsn, file, "test", nil); err != nil {
		t.Fatal(err)
	}
	bare := storetest.DSN(t, nil)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := backup.IntoDatabase(ctx, file, bare, func(s string) {
		if strings.HasPrefix(s, "checked revisions") {
			cancel() // restored and committed by now
		}
	})
	if err == nil {
		t.Fatal("restored though it was called off")
	}
	if empty, err := store.Bare(t.Context(), bare); err != nil || !empty {
		t.Errorf("left in the database: %v %v", empty, err)
	}
}

// TestCheckData: each kind of damage is found and named.
func TestCheckData(t *testing.T) {
	t.Parallel()
	dsn, s := registry(t)
	sound, err := s.CheckData(t.Context(), nil)
	if err != nil || len(sound.Faults) > 0 {
		t.Fatal(sound.Faults, err)
	}
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	for _, damage := range []struct{ sql, says string }{
		{`UPDATE revisions SET document = set_byte(document, 40, get_byte(document, 40) # 1) WHERE number = 1 AND board = 'tarn-mx12-main'`, "revision 1 of tarn-mx12-main is not what was stored"},
		{`UPDATE kit_versions SET digest = decode(repeat('00', 32), 'hex') WHERE version = 1`, "of kit"},
		{`UPDATE boards SET current = 77 WHERE id = 'tarn-mx12-main'`, "says that revision 77 is the current one"},
		{`UPDATE revisions SET number = 9 WHERE number = 2 AND board = 'tarn-mx12-main'`,
			"has revision 9, and none of the number before it"},
		{`DELETE FROM events WHERE id = 3`, "the log has"},
	} {
		if _, err := conn.Exec(t.Context(), `SET session_replication_role = replica`); err != nil {
			t.Skip("the tests' role can't damage what constraints hold")
		}
		if _, err := conn.Exec(t.Context(), damage.sql); err != nil {
			t.Fatalf("%s: %v", damage.sql, err)
		}
		got, err := s.CheckData(t.Context(), nil)
		if err != nil || !strings.Contains(strings.Join(got.Faults, "\n"), damage.says) {
			t.Errorf("%s: %v %v", damage.sql, got.Faults, err)
		}
	}
	file := filepath.Join(t.TempDir(), "damaged.backup")
	if _, err := backup.Save(t.Context(), dsn, file, "test", nil); err == nil || !strings.Contains(err.Error(),
		"not sound") {
		t.Errorf("a backup of what is damaged: %v", err)
	}
	if _, err := os.Stat(file); err != nil {
		t.Error(err)
	}
}
