package share

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// Settings are how this seat shares its journal, and when it last did. They lie beside the
// journal (its name with .share), since they are this computer's: a journal goes from one
// to the other.
type Settings struct {
	Server string    `json:"server"`
	Farm   string    `json:"farm"`
	Creds  string    `json:"creds,omitempty"`
	CA     string    `json:"tls_ca,omitempty"`
	Last   time.Time `json:"last,omitzero"` // when all of both sides was exchanged
	Seq    uint64    `json:"seq,omitempty"` // the last message that the journal held then
}

func settingsPath(s *journal.Store) string { return s.Path + ".share" }

// maxFile is more than any of sharing's files has: settings, credentials, certificates, an entry.
const maxFile = fields.MaxLine + 1<<10

// fileText reads an ordinary file of sharing.
func fileText(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular() || info.Size() > maxFile:
		return nil, errors.New("it is too large, or no ordinary file")
	}
	return os.ReadFile(path)
}

// Load returns nil where nothing was ever set up.
func Load(s *journal.Store) (*Settings, error) {
	text, err := fileText(settingsPath(s))
	var out Settings
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("the settings of sharing %q cannot be read (%w)", settingsPath(s), journal.Cause(err))
	case json.Unmarshal(text, &out) != nil || CheckFarm(out.Farm) != nil:
		return nil, fmt.Errorf("the settings of sharing %q cannot be read; name server and farm again", settingsPath(s))
	}
	return &out, nil
}

// Save keeps the settings.
func (x *Settings) Save(s *journal.Store) error {
	text, err := json.Marshal(x)
	if err == nil {
		err = journal.ReplaceFile(settingsPath(s), append(text, '\n'))
	}
	if err != nil {
		return fmt.Errorf("the settings of sharing %q cannot be written (%w)", settingsPath(s), err)
	}
	return nil
}

// Exchanged is when the journal as it stands was last exchanged with the others: the zero
// time if nobody knows, since an older copy was brought back, or the computer is another.
func (x *Settings) Exchanged(at *journal.Shared) time.Time {
	if x == nil || at == nil || at.Farm != x.Farm || at.Seq < x.Seq {
		return time.Time{}
	}
	return x.Last
}

// Aside is an entry that came with the id of another one of the journal. It lies in a file
// beside the journal, which `journal import --keep` takes.
type Aside struct {
	File  string
	Entry fields.Entry
}

// keepAside writes the entry's file, unless it lies there already.
func keepAside(s *journal.Store, e *fields.Entry) error {
	err := journal.NewFile(asideFile(s, e), func(w io.Writer) error { return fields.WriteJSONL(w, []fields.Entry{*e}) })
	if errors.Is(err, journal.ErrExists) {
		err = nil
	}
	return err
}

func asideFile(s *journal.Store, e *fields.Entry) string {
	sum := sha256.Sum256(fields.Encode(e))
	return s.Path + asideMark + e.ID + "-" + hex.EncodeToString(sum[:4]) + ".jsonl"
}

const asideMark = ".aside-"

// Asides are the entries that lie beside a journal and nobody decided about.
func Asides(s *journal.Store, c *journal.Content) []Aside {
	var out []Aside
	for _, x := range asides(s) {
		if !c.Settled(&x.Entry) {
			out = append(out, x)
		}
	}
	return out
}

func asides(s *journal.Store) []Aside {
	var out []Aside
	names, _ := filepath.Glob(globbed(s.Path) + asideMark + "*.jsonl")
	slices.Sort(names)
	for _, name := range names {
		text, err := fileText(name)
		if err != nil {
			continue
		}
		entries, err := fields.ReadJSONL(bytes.NewReader(text))
		if err == nil && len(entries) == 1 {
			out = append(out, Aside{name, entries[0]})
		}
	}
	return out
}

// globbed is a path in which nothing stands for anything else.
func globbed(path string) string {
	var out []byte
	for i := range len(path) {
		if c := path[i]; (c == '*' || c == '?' || c == '[') && filepath.Separator == '/' {
			out = append(out, '\\', c)
		} else {
			out = append(out, c)
		}
	}
	return string(out)
}

// dropSettled removes what lies beside the journal and was decided about: the journal
// holds it under an id of its own.
func dropSettled(s *journal.Store) error {
	list := asides(s)
	if len(list) == 0 {
		return nil
	}
	c, err := s.Load()
	if err != nil {
		return err
	}
	for _, x := range list {
		if c.Settled(&x.Entry) {
			if err := os.Remove(x.File); err != nil {
				return journal.Cause(err)
			}
		}
	}
	return nil
}
