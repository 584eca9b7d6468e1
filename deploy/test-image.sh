#!/bin/sh
# Makes two container images for the tests where none can be pulled: from Debian's packages, with debootstrap.
#
# The first has PostgreSQL. It behaves like the usual images of it as far as the tests need: POSTGRES_USER,
# POSTGRES_PASSWORD and POSTGRES_DB say what is made at the first start, and the arguments go to the server. The second
# has this machine's Go and the modules of this project, and needs no network to build it.
#
#   deploy/test-image.sh [IMAGE [SUITE [MIRROR]]]      as root, with debootstrap, Go and a running container engine
#
# IMAGE is the name that the first one gets (boardlore-test-postgres if not given), for BOARDLORE_TEST_POSTGRES_IMAGE;
# the second is boardlore-test-go, for BOARDLORE_TEST_GO_IMAGE.
set -eu

image=${1:-boardlore-test-postgres}
suite=${2:-bookworm}
mirror=${3:-}

root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
# shellcheck disable=SC2086 # no mirror is no argument
debootstrap --variant=minbase --include=postgresql,postgresql-common,wget "$suite" "$root" $mirror >&2
rm -rf "$root"/var/cache/apt/archives/*.deb "$root"/var/lib/apt/lists/*

cat >"$root/usr/local/bin/entrypoint" <<'EOF'
#!/bin/sh
# Makes the cluster if there is none, by a first server on the socket alone, then becomes the real one.
set -eu
PATH=$(echo /usr/lib/postgresql/*/bin):$PATH
export PATH PGDATA="${PGDATA:-/var/lib/postgresql/data}"
user=${POSTGRES_USER:-postgres}
db=${POSTGRES_DB:-$user}
if [ "$(id -u)" = 0 ]; then
	mkdir -p "$PGDATA" /var/run/postgresql
	chown -R postgres "$PGDATA" /var/run/postgresql
	exec setpriv --reuid=postgres --regid=postgres --init-groups "$0" "$@"
fi
if [ ! -s "$PGDATA/PG_VERSION" ]; then
	: "${POSTGRES_PASSWORD:?is needed for the first start}"
	pw=$(mktemp)
	printf '%s\n' "$POSTGRES_PASSWORD" >"$pw"
	initdb -D "$PGDATA" -U "$user" --pwfile="$pw" --auth-local=trust --auth-host=scram-sha-256 -E UTF8 --locale=C.UTF-8 -N
	rm "$pw"
	echo 'host all all all scram-sha-256' >>"$PGDATA/pg_hba.conf"
	pg_ctl -D "$PGDATA" -w -o "-c listen_addresses=''" start
	[ "$db" = postgres ] || createdb -U "$user" "$db"
	pg_ctl -D "$PGDATA" -w -m fast stop
fi
[ "${1:-postgres}" != postgres ] || shift $(($# > 0))
exec postgres -c listen_addresses='*' "$@"
EOF
chmod 755 "$root/usr/local/bin/entrypoint"

tar -C "$root" -c . | docker import \
	--change 'ENTRYPOINT ["/usr/local/bin/entrypoint"]' \
	--change 'CMD ["postgres"]' \
	--change 'EXPOSE 5432' \
	--change 'VOLUME /var/lib/postgresql/data' \
	- "$image"

go mod download
mkdir -p "$root/usr/local/go" "$root/modules"
cp -a "$(go env GOROOT)/." "$root/usr/local/go/"
cp -a "$(go env GOMODCACHE)/cache/download/." "$root/modules/"
tar -C "$root" -c . | docker import \
	--change 'ENV PATH=/usr/local/go/bin:/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin' \
	--change 'ENV GOPROXY=file:///modules' \
	--change 'ENV GOSUMDB=off' \
	--change 'ENV GOTOOLCHAIN=local' \
	- boardlore-test-go
