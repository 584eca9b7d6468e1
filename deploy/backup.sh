#!/bin/sh
# Saves the whole registry into one file that restore.sh takes back.
# Usage: BOARDLORE_DATABASE_URL=postgres://… deploy/backup.sh FILE
set -eu
file=${1:?usage: backup.sh FILE}
: "${BOARDLORE_DATABASE_URL:?set BOARDLORE_DATABASE_URL to the database address}"
pg_dump --format=custom --no-owner --no-privileges --file="$file.part" "$BOARDLORE_DATABASE_URL"
pg_restore --list "$file.part" >/dev/null
mv "$file.part" "$file"
echo "saved $(wc -c <"$file") bytes to $file"
