// Package cluster runs a private PostgreSQL cluster in the server's data folder, for whoever has no database server to
// point at. The obvious ways fall short of what such a folder holds, other people's work: running initdb and pg_ctl by
// hand leaves half a cluster after a power cut, two owners after a second start, and an orphan after kill -9; the
// libraries that embed PostgreSQL empty a folder that they do not recognise.
//
// The data folder holds
//
//	owner.lock   flock of the one owner, with its process number
//	users.lock   shared flock of the commands that use a cluster which another process owns
//	postgres/    PostgreSQL's data directory, made beside itself and renamed when whole
//	run/         the Unix socket (elsewhere if this path is too long for one)
//	log/         what the database says, a file for each day of the week
//
// Nothing that exists is ever removed or initialised again: a folder that holds anything else, a cluster of a version
// whose programs are not on the machine, or half a cluster is refused and left as it was.
//
// The database listens on a Unix socket in a folder that only its own account can enter, and on no port. Started as
// root, which PostgreSQL refuses to be, the database runs under an unprivileged account. It outlives a killed owner, and
// the next owner adopts it.
package cluster
