-- +goose Up
-- Events are for ever, so they name accounts by number and hold no text that
-- somebody wrote: a sentence has places ({who}, {account}, {author}, {summary},
-- {review}, {reason}, {title}) that are filled in when it is read, from rows that
-- the law can have emptied.

ALTER TABLE events DISABLE TRIGGER events_immutable;
UPDATE events e SET sentence = CASE what
    WHEN 'submitted' THEN format('{who} submitted proposal %s for %s{summary}', proposal, board)
    WHEN 'amended' THEN format('{who} amended the map of proposal %s for %s; its version is %s now.', proposal, board, version)
    WHEN 'reviewed' THEN format('{who} %s proposal %s for %s{review}', coalesce((SELECT CASE r.verdict WHEN 'endorse' THEN 'endorsed'
        WHEN 'query' THEN 'queried' ELSE 'objected to' END FROM reviews r WHERE r.proposal = e.proposal AND r.at = e.at LIMIT 1), 'reviewed'), proposal, board)
    WHEN 'released' THEN format('{who} released proposal %s of {author} as revision %s of %s{summary}', proposal, revision, board)
    WHEN 'declined' THEN format('{who} declined proposal %s for %s{reason}', proposal, board)
    WHEN 'withdrawn' THEN format('{who} withdrew proposal %s for %s{reason}', proposal, board)
    WHEN 'kit-kept' THEN format('{who} kept version %s of kit %s{title}', version, kit)
    WHEN 'photograph-kept' THEN regexp_replace(sentence, '^.* kept a photograph, ([0-9]+ × [0-9]+) pixels\.$', '{who} kept a photograph, \1 pixels.')
    WHEN 'account-added' THEN regexp_replace(sentence, '^.* joined as ([a-z]+)\.$', '{account} joined as \1.')
    WHEN 'role-changed' THEN regexp_replace(sentence, '^.* is a ([a-z]+) from now on\.$', '{account} is a \1 from now on.')
    WHEN 'token-made' THEN '{account} was given a new token.'
    WHEN 'account-disabled' THEN 'The account of {account} was disabled.'
    ELSE sentence END;
ALTER TABLE events ENABLE TRIGGER events_immutable;

-- Why an act was done, as its steward said; rows of their own, since such a
-- text may have to go.
CREATE TABLE event_reasons (
    event  bigint CONSTRAINT event_reasons_pkey PRIMARY KEY CONSTRAINT event_reasons_event_fkey REFERENCES events (id),
    reason text   NOT NULL
);

-- steward: the kind is an act of stewards and of the command line.
ALTER TABLE event_kinds ADD COLUMN steward boolean NOT NULL DEFAULT false;
INSERT INTO event_kinds VALUES ('account-enabled', true), ('name-erased', true), ('photograph-erased', true), ('reason-erased', true);
UPDATE event_kinds SET steward = true WHERE what IN ('account-added', 'token-made', 'account-disabled', 'role-changed', 'revision-withdrawn', 'photograph-withdrawn',
    'objection-set-aside');

-- A photograph whose bytes the law wanted gone: the row stays, so that what
-- names it still leads to the reason.
ALTER TABLE photographs ADD COLUMN erased_at timestamptz;
