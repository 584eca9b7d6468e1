package list

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Decode turns the bytes of a text file into text with \n at each line's end,
// and names the encoding it found: utf-8, utf-16le, utf-16be or windows-1252,
// which holds Latin-1. A byte order mark is taken off.
func Decode(data []byte) (text, encoding string) {
	text, encoding = decode(data)
	text = strings.ReplaceAll(text, "\r\n", "\n")
	return strings.ReplaceAll(text, "\r", "\n"), encoding
}

func decode(data []byte) (text, encoding string) {
	if order, name, ok := wide(data); ok {
		return decodeWide(data, order), name
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if utf8.Valid(data) {
		return string(data), "utf-8"
	}
	// Every byte has a meaning there, so that decoding can't fail.
	text, _ = charmap.Windows1252.NewDecoder().String(string(data))
	return text, "windows-1252"
}

// wide recognises UTF-16 by its byte order mark or, failing that, by a nought
// in every other one of the first bytes: western text has no others.
func wide(data []byte) (binary.ByteOrder, string, bool) {
	head := data[:min(len(data), 64)&^1]
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), noughts(head, 1):
		return binary.LittleEndian, "utf-16le", true
	case bytes.HasPrefix(data, []byte{0xfe, 0xff}), noughts(head, 0):
		return binary.BigEndian, "utf-16be", true
	}
	return nil, "", false
}

// noughts reports whether nearly all bytes from `from` in steps of two are
// nought and nearly all others aren't.
func noughts(head []byte, from int) bool {
	zero, other := 0, 0
	for i := 0; i+1 < len(head); i += 2 {
		if head[i+from] == 0 {
			zero++
		}
		if head[i+1-from] == 0 {
			other++
		}
	}
	return zero > 1 && other == 0 && zero*8 >= len(head)/2*7
}

func decodeWide(data []byte, order binary.ByteOrder) string {
	units := make([]uint16, 0, len(data)/2)
	for ; len(data) > 1; data = data[2:] {
		units = append(units, order.Uint16(data))
	}
	return strings.TrimPrefix(string(utf16.Decode(units)), "\ufeff")
}
