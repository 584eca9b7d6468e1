// Package migrations holds the numbered steps that make the database what this
// version of the program expects. They are embedded, so that a binary and its
// schema can't be separated, and go forward only: a step back would have to
// throw away what people contributed. A step that went out is never edited;
// the next number corrects it.
//
// Every constraint has a name, since package store tells refusals of the
// database apart by it.
package migrations

import "embed"

// FS holds the steps, NNNNN_name.sql, in goose's annotation format.
//
//go:embed *.sql
var FS embed.FS
