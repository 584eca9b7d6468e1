package cluster

import (
	"errors"
	"fmt"
)

// Oldest is the oldest major version of PostgreSQL that will do.
const Oldest = 15

// Options says how a cluster is run. The zero value is right for a server.
type Options struct {
	// Progress is told, in a short sentence, of work that takes long (a new database, recovery after a crash) and of a
	// database that died and was started again. It may be called from several goroutines. Nil for silence.
	Progress func(string)

	// Bin names a folder with PostgreSQL's programs to be looked in before any other. Empty for the usual places.
	Bin string

	// NoFetch keeps the programs from being fetched when none are found.
	NoFetch bool

	// Mirror is the address of the repository that programs are fetched from. Empty for the fetching library's own.
	Mirror string

	// Known names files and folders that other parts of the program keep in the data folder.
	Known []string

	// Ephemeral is for tests: nothing is forced to disk, and on Linux the database ends with this process, however it
	// ends. Never set it for data that anybody wants back.
	Ephemeral bool

	tries int // how often a database that died is started in vain; 0 for lastTry
}

// Programs is an installation of PostgreSQL's server programs.
type Programs struct {
	Dir   string // the folder with initdb and postgres
	Major int    // major version, Oldest or later
}

// ErrForeign is returned for a data folder that holds something other than this package's own files.
var ErrForeign = errors.New("not a data folder of boardlore")

// ErrVersion is returned for a cluster whose major version of PostgreSQL is not on this machine, or too old.
var ErrVersion = errors.New("the data folder needs another version of PostgreSQL")

// ErrNoPostgres is returned when no PostgreSQL is found and none can be fetched.
var ErrNoPostgres = errors.New("no PostgreSQL on this machine")

// OwnedError is returned by Own for a data folder that another process owns.
type OwnedError struct {
	Dir     string
	PID     int  // 0 if the owner has not written its number yet
	Passing bool // it is a command that owns the folder for the time being
}

func (e *OwnedError) Error() string {
	who := "another process"
	if e.PID > 0 {
		who = fmt.Sprintf("process %d", e.PID)
	}
	if e.Passing {
		return fmt.Sprintf("the data folder %s is in use by %s, a command: wait for it to end, or name another folder",
			e.Dir, who)
	}
	return fmt.Sprintf("the data folder %s is in use by %s: stop that first, or name another folder", e.Dir, who)
}
