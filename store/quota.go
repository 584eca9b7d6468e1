package store

import (
	"context"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// Quotas of an account: enough for who contributes a whole shelf, too little to
// fill a disk with.
const (
	maxDailyMaps    = 64 << 20 // bytes of maps that are submitted or amended in a day
	maxOpen         = 1000     // open proposals
	maxDailyKits    = 16 << 20 // bytes of kits
	maxDailyRecords = 16 << 20 // bytes of records
)

// checkProposalQuota holds an account to what it may submit, with size bytes
// more. Its row is locked, so that two submissions at once don't both fit.
func checkProposalQuota(ctx context.Context, a *act, size int) error {
	if _, err := a.tx.Exec(ctx, `SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, a.actor.ID); err != nil {
		return err
	}
	var bytes, open int
	err := a.tx.QueryRow(ctx, `SELECT
		(SELECT coalesce(sum(octet_length(m.document)), 0) FROM proposals p JOIN proposal_maps m ON m.proposal = p.id
		 WHERE p.author = $1 AND p.changed_at > now() - interval '1 day' AND m.at > now() - interval '1 day'),
		(SELECT count(*) FROM proposals p WHERE p.author = $1 AND p.state IN ('submitted', 'returned'))`, a.actor.ID).Scan(&bytes, &open)
	switch {
	case err != nil:
		return err
	case bytes+size > maxDailyMaps:
		return fault.New(fault.Conflict, "proposal-quota", "store.quota-maps", bytes>>20, maxDailyMaps>>20)
	case open >= maxOpen:
		return fault.New(fault.Conflict, "proposal-quota", "store.quota-open", open, maxOpen)
	}
	return nil
}

// checkKitQuota holds an account to what it may keep of kits in a day.
func checkKitQuota(ctx context.Context, a *act, size int) error {
	return daily(ctx, a, size, maxDailyKits, "kit-quota", "kits", `SELECT coalesce(sum(octet_length(document)), 0) FROM kit_versions
		WHERE kept_by = $1 AND kept_at > now() - interval '1 day'`)
}

// checkRecordQuota holds an account to what it may file of records in a day.
func checkRecordQuota(ctx context.Context, a *act, size int) error {
	return daily(ctx, a, size, maxDailyRecords, "record-quota", "records", `SELECT coalesce(sum(octet_length(document)), 0) FROM records
		WHERE account = $1 AND kept_at > now() - interval '1 day'`)
}

// daily refuses size bytes more where sql finds too many of the last day. The
// account's row is locked, so that two acts at once don't both fit.
func daily(ctx context.Context, a *act, size, most int, code, what, sql string) error {
	if a.actor.ID == 0 { // the operator
		return nil
	}
	if _, err := a.tx.Exec(ctx, `SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, a.actor.ID); err != nil {
		return err
	}
	var bytes int
	if err := a.tx.QueryRow(ctx, sql, a.actor.ID).Scan(&bytes); err != nil || bytes+size <= most {
		return err
	}
	return fault.New(fault.Conflict, code, "store.quota-daily", bytes>>20, message.Word("quota", what), most>>20)
}
