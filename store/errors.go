package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// Error codes of PostgreSQL that mean something to us (its manual, appendix A).
const (
	undefinedTable = "42P01"
	serialization  = "40001"
	deadlock       = "40P01"
	tooManyConns   = "53300"
	diskFull       = "53100"
	readOnly       = "25006"
	canceled       = "57014"
	adminShutdown  = "57P01"
	inFuture       = "22023" // of pg_xact_status: no transaction has this number yet
)

// ErrDamaged is in the chain where a stored document is not the one that was
// stored: its digest does not check out.
var ErrDamaged = errors.New("the stored document does not match its digest: restore it from a backup")

// constraints says what the database's refusal by a named constraint means.
// Each is also looked for beforehand; what comes here lost a race.
var constraints = map[string]fault.Error{
	"accounts_name_key": {Kind: fault.Conflict, Code: "account-exists",
		Detail: message.Of("store.account-exists")},
	"accounts_name_check": {Kind: fault.Invalid, Code: "account-invalid",
		Detail: message.Of("store.account-name-short")},
	"accounts_role_check": {Kind: fault.Invalid, Code: "account-invalid", Detail: message.Of("store.role-invalid")},
	"boards_id_check":     {Kind: fault.Invalid, Code: "submission-invalid", Detail: message.Of("store.board-id")},
	"drafts_id_check":     {Kind: fault.Invalid, Code: "draft-refused", Detail: message.Of("store.draft-id")},
	"kits_id_check":       {Kind: fault.Invalid, Code: "kit-refused", Detail: message.Of("store.kit-id")},
	"revisions_proposal_key": {Kind: fault.Conflict, Code: "proposal-closed",
		Detail: message.Of("store.proposal-final")},
	"revisions_pkey":   {Kind: fault.Unavailable, Code: "try-again", Detail: message.Of("store.release-first")},
	"revisions_no_gap": {Kind: fault.Unavailable, Code: "try-again", Detail: message.Of("store.release-first")},
}

// refusal turns an error of the database into a fault, by code and constraint
// name, where it is not a defect; the cause stays in the chain. Other errors
// pass as they are.
func refusal(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := fault.As(err); ok || errors.Is(err, context.Canceled) {
		return err
	}
	if errors.Is(err, context.DeadlineExceeded) {
		return machine("deadline-cut", "store.deadline", err)
	}
	var pe *pgconn.PgError
	if errors.As(err, &pe) {
		if f, ok := constraints[pe.ConstraintName]; ok {
			f.Err = err
			return &f
		}
		return spoken(pe, err)
	}
	if lost(err) {
		return unavailable(err)
	}
	return err
}

// spoken sorts what the database said: of the machine, or of the moment.
func spoken(pe *pgconn.PgError, err error) error {
	switch pe.Code {
	case diskFull:
		return machine("disk-full", "store.disk-full", err)
	case readOnly:
		return machine("database-read-only", "store.read-only-ask", err)
	case canceled:
		return machine("deadline-cut", "store.deadline", err)
	case serialization, deadlock, tooManyConns:
		return unavailable(err)
	}
	for _, class := range []string{"57P", "08", "53", "58", "XX"} { // shutdown, connection, resources, system, damage
		if strings.HasPrefix(pe.Code, class) {
			return unavailable(err)
		}
	}
	return err
}

func unavailable(err error) error {
	return machine("database-unavailable", "store.unavailable", err)
}

func machine(code, key string, err error) error {
	return &fault.Error{Kind: fault.Unavailable, Code: code, Err: err, Detail: message.Of(key)}
}

// fail names what was attempted, and turns the database's own refusals into faults.
func fail(err error, format string, args ...any) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf(format+": %w", append(args, refusal(err))...)
}

func missing(code, key string, values ...any) error {
	return fault.New(fault.NotFound, code, key, values...)
}
