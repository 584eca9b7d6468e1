#!/bin/sh
# Brings a file of backup.sh into an empty database; never over an existing one.
# Usage: BOARDLORE_DATABASE_URL=postgres://… deploy/restore.sh FILE
set -eu
file=${1:?usage: restore.sh FILE}
: "${BOARDLORE_DATABASE_URL:?set BOARDLORE_DATABASE_URL to the address of an empty database}"
tables=$(psql -X -At -c "select count(*) from pg_tables where schemaname = 'public'" "$BOARDLORE_DATABASE_URL")
if [ "$tables" -ne 0 ]; then
  echo "restore.sh: the database has $tables tables already; make an empty one and name that" >&2
  exit 1
fi
pg_restore --exit-on-error --single-transaction --no-owner --no-privileges --dbname="$BOARDLORE_DATABASE_URL" "$file"
echo "restored from $file"
