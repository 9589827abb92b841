package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.etcd.io/bbolt"
)

// Two meta records begin a bbolt file, and the newer sound one counts. If that
// one rots, bbolt answers from the older without a word, and the next commit
// overwrites what proved it. A mark is a small sealed file beside the journal
// that says how far the journal was written. It is written, with the journal's
// lock held, twice a commit:
//
//	1. what was finished, and what is about to be     (on the disk)
//	2. bbolt's commit                                 (on the disk)
//	3. what is finished now                           (on the disk)
//
// and only then is the commit acknowledged. So an unfinished commit leaves
// either the state before or the one behind it, both of which the mark knows;
// anything less than what the mark calls finished was lost.
//
// One unreadable meta record is damage, with one exception: a commit had begun,
// the journal reads as it was before, and the unreadable record still ends in
// the checksum of the one the commit was to overwrite. Then the commit's own
// record was never whole, so nothing it brought was ever readable, nor
// acknowledged: the ordinary end of a power cut in the middle of that record.

// MarkPath returns the name of the mark of the journal at path. A journal may
// have several names, by links; its mark has one.
func MarkPath(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	return path + ".mark"
}

// tip is where one writer's chain ends.
type tip struct {
	Length uint64 `json:"length"`
	Head   string `json:"head"` // hash of the last link in hex
}

// state is how far a journal was written.
type state struct {
	Revision uint64         `json:"revision"`
	Writers  map[string]tip `json:"writers,omitempty"` // by writer id
	Gaps     string         `json:"gaps,omitempty"`    // SHA-256 in hex of what is stored of them; "" for none, or not said
}

// mark is the content of a mark file.
type mark struct {
	Schema int    `json:"schema"`
	Done   state  `json:"done"`           // what the last finished commit left
	Next   *state `json:"next,omitempty"` // what a commit that began will leave
	Over   string `json:"over,omitempty"` // checksum of the meta record it overwrites, in hex
}

const (
	markSchema = 1
	maxMark    = 1 << 20
)

var errMark = errors.New("the record cannot be read")

// markText reads a file that is no larger than a mark can be.
func markText(name string) ([]byte, error) { return noLarger(name, maxMark) }

// noLarger reads an ordinary file of so many bytes at most; the error is errMark for another.
func noLarger(name string, most int64) ([]byte, error) {
	info, err := os.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > most {
		return nil, errMark
	}
	return os.ReadFile(name)
}

// readMark returns nil if there is no mark, and errMark for one that cannot be
// read or whose seal is broken.
func readMark(path string) (*mark, error) {
	name := MarkPath(path)
	data, err := markText(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, errMark
	}
	text, rest, _ := bytes.Cut(data, []byte{'\n'})
	var m mark
	if string(rest) != seal(text)+"\n" || json.Unmarshal(text, &m) != nil || m.Schema != markSchema {
		return nil, errMark
	}
	return &m, nil
}

// looksLikeMark reports whether a file is a mark, be it a spoilt one.
func looksLikeMark(name string) bool {
	data, err := markText(name)
	return err == nil && bytes.HasPrefix(data, []byte(`{"schema":`))
}

func seal(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// write puts the mark in the place of the one before, on the disk, in one
// step. Whoever calls it holds the journal's lock for writing, so one name for
// the unfinished file is enough, and one that a killed program left is taken
// over. The folder's list of names is not flushed: if a power cut takes the new
// name back, the mark before it comes back, which says less and nothing wrong.
func (m mark) write(path string) error {
	m.Schema = markSchema
	text, err := json.Marshal(m)
	if err != nil {
		return err
	}
	name := MarkPath(path)
	tmp := name + ".new"
	if err := os.Remove(tmp); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(tmp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(append(append(text, '\n'), seal(text)+"\n"...))
	if err = errors.Join(err, f.Sync(), f.Close()); err == nil {
		err = renameOver(tmp, name)
	}
	if err != nil {
		_ = os.Remove(tmp)
	}
	return err
}

// stateOf reads how far a journal was written. Its pages must have been walked.
func stateOf(path string, tx *bbolt.Tx) (state, []seat, error) {
	s := state{Revision: tx.Bucket(bucketMeta).Sequence(), Writers: map[string]tip{}}
	seats, err := seatsOf(path, tx)
	for _, x := range seats {
		s.Writers[x.Writer] = x.tip
	}
	var gaps []byte
	for k, v := range gapsIn(tx) {
		gaps = append(append(gaps, k...), v...)
	}
	if len(gaps) > 0 {
		s.Gaps = seal(gaps)
	}
	return s, seats, err
}

// same reports whether another state is this one, as far as this one tells.
func (s *state) same(o *state) bool {
	return s.Revision == o.Revision && maps.Equal(s.Writers, o.Writers) && (s.Gaps == "" || s.Gaps == o.Gaps)
}

// Run is a run of entries of one writer's chain, by number, both ends included.
type Run struct {
	Writer string `json:"writer"`
	From   uint64 `json:"from"`
	To     uint64 `json:"to"`
}

func (r Run) String() string {
	if r.From == r.To {
		return fmt.Sprintf("entry %d of the chain %q", r.From, r.Writer)
	}
	return fmt.Sprintf("entries %d to %d of the chain %q", r.From, r.To, r.Writer)
}

// lost returns what a finished state holds and the journal does not: runs of
// entries, and whether the journal holds others in their place.
func (s *state) lost(now *state, link func(writer string, number uint64) string) (runs []Run, other bool) {
	for _, w := range slices.Sorted(maps.Keys(s.Writers)) {
		was, is := s.Writers[w], now.Writers[w]
		switch {
		case is.Length < was.Length:
			runs = append(runs, Run{w, is.Length + 1, was.Length})
		case link(w, was.Length) != was.Head:
			other = true
		}
	}
	return runs, other
}

// verdict is what the mark says of a journal as it reads now.
type verdict struct {
	note  string // worth a sentence, but nothing is wrong
	bad   string // "" or why the journal cannot be trusted
	older bool   // the file itself is sound, but was written further
	lost  []Run
	mark  *mark // nil if there is none to be read
	now   state // what was judged; empty if the root alone was walked
	seats []seat
	head  header
}

const (
	oneMeta    = "one of the file's two beginnings is unreadable"
	howToAgree = "if you brought an older copy back on purpose, say so with `rimegate journal accept`"
	rots       = oneMeta + "; nothing is missing that was logged, but the disk spoils this file"
	notThere   = "so what was logged last may be missing"
	newRecord  = ", so nothing can tell whether entries at its end are missing; the next entry makes a new record"
)

// judge compares the journal with its mark; merr is why there is none.
func (h header) judge(m *mark, merr error, now *state, link func(string, uint64) string) verdict {
	switch {
	case m == nil && h.metas < 2 && merr == nil:
		return verdict{bad: oneMeta + ", and no record beside the journal says how far it was written, " + notThere}
	case m == nil && h.metas < 2:
		return verdict{bad: oneMeta + ", and so is the record beside the journal of how far it was written, " + notThere}
	case m == nil && merr == nil:
		return verdict{note: "no record stands beside the journal of how far it was written" + newRecord}
	case m == nil:
		return verdict{note: "the record beside the journal of how far it was written cannot be read" + newRecord}
	case m.Next != nil && m.Next.same(now) && h.metas < 2:
		return verdict{bad: rots}
	case m.Next != nil && m.Next.same(now):
		return verdict{}
	}
	runs, other := m.Done.lost(now, link)
	v := verdict{lost: runs}
	switch {
	case len(runs) > 0:
		v.bad = "it was written further than it reads now (missing: " + runsWords(runs) + ")"
	case other:
		v.bad = "it holds other entries than those that were written into it here"
	case now.Revision < m.Done.Revision:
		v.bad = writtenFurther
	case now.Revision == m.Done.Revision && !m.Done.same(now): // nothing else can differ
		return verdict{bad: "what it says of its missing entries is not as it was written"}
	}
	switch {
	case h.metas == 2 && v.bad != "":
		v.older = true
		v.bad += "; " + howToAgree
	case h.metas == 2 && !m.Done.same(now):
		v.note = "the journal was written further than the record beside it says, by a program that keeps none or on another computer; nothing is missing, and the next entry makes a new record"
	case h.metas == 2:
	case v.bad != "":
		v.bad = oneMeta + ", and " + v.bad
	case m.Next != nil && m.Done.same(now) && m.Over != "" && m.Over == h.slot:
		v.note = "the computer went off in the middle of the last commit; nothing of it was acknowledged, and everything before it is there"
	case m.Next != nil:
		v.bad = oneMeta + ", and a commit had begun, " + notThere
	default:
		v.bad = rots
	}
	return v
}

const writtenFurther = "it was written further than it reads now"

func runsWords(runs []Run) string {
	words := make([]string, 0, len(runs))
	for i, r := range runs {
		if i == 5 {
			words = append(words, fmt.Sprintf("%d more runs", len(runs)-i))
			break
		}
		words = append(words, r.String())
	}
	return strings.Join(words, ", ")
}

// judged reads the mark and compares the open journal with it; one of which the
// root alone was walked by its revision only.
func (s *Store) judged(tx *bbolt.Tx, h header, d depth) (*verdict, error) {
	m, merr := readMark(s.Path)
	if d == walkRoot {
		if m != nil && tx.Bucket(bucketMeta).Sequence() < m.Done.Revision {
			return &verdict{bad: writtenFurther + "; " + howToAgree}, nil
		}
		return &verdict{}, nil
	}
	now, seats, err := stateOf(s.Path, tx)
	if err != nil {
		return nil, err
	}
	v := h.judge(m, merr, &now, func(w string, n uint64) string {
		if l := link(tx.Bucket(bucketChain).Get(linkKey(w, n))); l.sound() {
			return l.head()
		}
		return "" // there is no link 0
	})
	v.mark, v.now, v.seats, v.head = m, now, seats, h
	return &v, nil
}
