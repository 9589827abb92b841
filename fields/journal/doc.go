// Package journal keeps the farm's entries in one append-only file.
//
// The file is a bbolt database with four buckets:
//
//	meta     schema: version of this layout, in decimal digits; gap:... what
//	         is known to be missing, as JSON; the bucket's own sequence is
//	         the revision, one more after each commit
//	entries  ULID -> the entry as canonical JSON (fields.Encode)
//	writers  seat -> writer id, length and last hash of its chain, as JSON
//	chain    writer id, 0, number (8 bytes, big endian) -> ULID, hash (32 bytes)
//
// A link's hash is the SHA-256 of the hash before it in the same chain (32
// zero bytes for the first), the ULID and the stored bytes of the entry. bbolt
// keeps no checksum of what it stores, so the chain is what tells a flipped
// byte, a lost or a slipped-in entry from the truth. Entries that come in from
// another journal are chained under the seat that brings them in; identity is
// the ULID alone.
//
// A mark beside the file (its name with .mark) tells how far it was written; see
// mark.go. Doubt about that is damage.
//
// Every operation opens the file, works and closes it, so that several
// programs can use one journal. bbolt's lock is exclusive for writers: readers
// wait too, and whoever waits longer than the time-out is told that the
// journal is in use.
//
// A damaged file can make bbolt panic, fault, or follow its pages in a circle.
// Therefore nothing is handed to bbolt before the file's header was read and
// found sound, the pages are walked with bounded reads before a cursor follows
// them, faults become errors, and no file is opened for writing that was not
// read first.
package journal
