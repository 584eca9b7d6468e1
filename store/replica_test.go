package store_test

import (
	"context"
	"syscall"
	"testing"
	"time"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

// TestReplica: lists come from a replica while it follows closely, with their
// age; whoever writes reads what they wrote; a replica that is behind, stuck or
// dead costs its readers no answer.
func TestReplica(t *testing.T) {
	t.Parallel()
	p := storetest.NewPair(t)
	primary, replica := p.Primary(), p.Replica()
	if err := store.Migrate(t.Context(), primary, nil); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), primary, store.Options{Replica: replica})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	ann := account(t, s, "ann", "contributor")
	kits := func(ctx context.Context) (n int, age, took time.Duration) {
		t.Helper()
		ctx, aged := store.Aging(ctx)
		began := time.Now()
		list, err := s.Kits(ctx, store.KitFilter{})
		if err != nil {
			t.Error(err)
		}
		return len(list.Items), aged.Age(), time.Since(began)
	}
	await := func(state string) {
		t.Helper()
		for range 400 {
			if s.Stats().Replica == state {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Fatalf("the replica is %q, want %q", s.Stats().Replica, state)
	}

	await("follows")
	answered(t, replica, `SELECT pg_wal_replay_pause()`)
	if _, _, err := s.PutKit(t.Context(), ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	if n, age, _ := kits(t.Context()); n != 0 || age <= 0 || age > 15*time.Second {
		t.Errorf("a replica that stands still: %d kits, at most %s old", n, age)
	}
	if n, age, _ := kits(store.Fresh(t.Context())); n != 1 || age != 0 {
		t.Errorf("who wrote reads %d kits, %s old", n, age)
	}

	await("away") // more than ten seconds behind
	if n, age, _ := kits(t.Context()); n != 1 || age != 0 {
		t.Errorf("past the bound: %d kits, %s old", n, age)
	}
	answered(t, replica, `SELECT pg_wal_replay_resume()`)

	await("follows")
	p.Signal(syscall.SIGSTOP)
	if n, age, took := kits(t.Context()); n != 1 || age != 0 || took > 4*time.Second {
		t.Errorf("stuck: %d kits, %s old, after %s", n, age, took)
	}
	if n, _, took := kits(t.Context()); n != 1 || took > time.Second {
		t.Errorf("known to be stuck: %d kits after %s", n, took)
	}
	p.Signal(syscall.SIGCONT)

	await("follows")
	p.Kill()
	// Its processes end a moment after their parent: until then they answer, and bear the age.
	if n, age, took := kits(t.Context()); n != 1 || took > 4*time.Second {
		t.Errorf("dead: %d kits, %s old, after %s", n, age, took)
	}
	if err := s.Ready(t.Context()); err != nil {
		t.Errorf("a server is ready without its replica: %v", err)
	}
	await("away")
}

// TestUnconfirmed: a commit whose wait for the standby was called off is told as
// done only once a standby has it.
func TestUnconfirmed(t *testing.T) {
	t.Parallel()
	p := storetest.NewPair(t)
	primary := p.Primary()
	if err := store.Migrate(t.Context(), primary, nil); err != nil {
		t.Fatal(err)
	}
	s := openStore(t, primary)
	demand := func(names string) {
		t.Helper()
		raw(t, primary, `ALTER SYSTEM SET synchronous_standby_names = '`+names+`'`)
		answered(t, primary, `SELECT pg_reload_conf()`)
		awaited(t, "the setting", func() bool {
			return answered(t, primary, `SELECT current_setting('synchronous_standby_names')`) == names
		})
	}
	for name, there := range map[string]bool{"wren": true, "lark": false} {
		demand("nobody")
		told := make(chan error, 1)
		go func() {
			_, err := s.AddAccount(context.Background(), name, review.Contributor)
			told <- err
		}()
		awaited(t, "a commit that waits", func() bool {
			return answered(t, primary, `SELECT count(pg_cancel_backend(pid)) FROM pg_stat_activity
				WHERE wait_event = 'SyncRep' AND query ILIKE 'commit'`) != "0"
		})
		if there {
			demand("")
		}
		if err := <-told; there != (err == nil) {
			t.Errorf("with a standby %v, told as %v", there, err)
		} else if !there {
			refused(t, err, fault.Unavailable, "outcome-unknown")
		}
	}
}
