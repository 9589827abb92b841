// Package share carries the entries of a farm's journal between its seats, over a stream
// of an append-only, replicated engine (NATS JetStream) that somebody hosts. Nothing of
// replication is ours: each seat keeps its own journal, sends what the stream lacks and
// takes what the journal lacks. It is the only importer of the engine's client, which the
// build tag noshare leaves out.
package share

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"runtime"

	"rimegate/fields"
	"rimegate/fields/journal"
	"rimegate/fields/lazy"
)

// A message is one line of what `journal export` writes: an entry, or what is known to be
// missing; or it is seenText. Beside it stand its id, by which the engine knows a message that came twice,
// the seat that wrote it, and a hash of both.
const (
	headID   = "Nats-Msg-Id"
	headSeat = "Rimegate-Seat"
	headHash = "Rimegate-Sha256"

	// maxMessage is the most bytes of a message, its head included: no real entry comes
	// near what a journal's line may have.
	maxMessage = fields.MaxLine + maxHead
	maxHead    = 4 << 10

	// seenText says that a seat exchanged all it had: what a quiet farm is known to be well by.
	seenText = `{"exchanged":true}`
)

// Subject is where a farm's messages go, Stream the stream that keeps them.
func Subject(farm string) string { return "rimegate." + farm }

// Stream is the name of a farm's stream.
func Stream(farm string) string { return "RIMEGATE_" + farm }

var farmID = lazy.Regexp(`^[a-z0-9][a-z0-9_-]{0,31}$`)

// CheckFarm refuses a farm's id that has more than what names of streams, subjects and
// files may have everywhere.
func CheckFarm(id string) error {
	if !farmID().MatchString(id) {
		return fmt.Errorf("%q is no id of a farm; type small letters, digits, - and _, at most 32, like coulee-farm", id)
	}
	return nil
}

// hashOf is the hash of a message: SHA-256 in hex of its seat, a line end and its text.
func hashOf(seat string, text []byte) string {
	h := sha256.New()
	h.Write([]byte(seat + "\n"))
	h.Write(text)
	return hex.EncodeToString(h.Sum(nil))
}

// Message is a message that passed every check: an entry, a gap, or neither.
type Message struct {
	Entry *fields.Entry
	Gap   *journal.Gap
}

var seatForm = lazy.Regexp(`^[A-Za-z0-9._-]{1,32}$`)

// Read checks a message's size, hash and form. The error is one plain clause.
func Read(head func(string) string, text []byte) (m Message, err error) {
	seat := head(headSeat)
	switch {
	case len(text) > fields.MaxLine:
		return m, fmt.Errorf("it is longer than %d bytes", fields.MaxLine)
	case !seatForm().MatchString(seat):
		return m, fmt.Errorf("it names no seat that wrote it")
	case head(headHash) != hashOf(seat, text):
		return m, fmt.Errorf("its hash is not that of its text")
	case bytes.ContainsAny(text, "\r\n"):
		return m, fmt.Errorf("it is more than one line")
	case string(text) == seenText:
		return m, nil
	}
	entries, gaps, err := journal.ReadText(bytes.NewReader(text))
	switch {
	case err != nil:
		return m, err
	case len(entries)+len(gaps) != 1:
		return m, fmt.Errorf("it holds no entry")
	case len(gaps) == 1:
		m.Gap = &gaps[0]
	default:
		m.Entry = &entries[0]
		m.Entry.Seat = seat
	}
	return m, nil
}

// CheckCreds refuses a file of credentials that others may read: whoever has it can write
// into the farm's journal.
func CheckCreds(path string) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return fmt.Errorf("the credentials file %q cannot be read (%w)", path, journal.Cause(err))
	case !info.Mode().IsRegular():
		return fmt.Errorf("the credentials file %q is no ordinary file", path)
	case runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0:
		return fmt.Errorf("the credentials file %q can be read by others on this computer; type: chmod 600 %q", path, path)
	}
	return nil
}
