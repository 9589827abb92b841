package board

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"time"

	"rimegate/fields"
	"rimegate/fields/lazy"
)

// PrintedRecord is what the text of a printed record says of itself.
type PrintedRecord struct {
	ID       string
	From, To fields.Date
	Known    time.Time
	Digest   string // as printed
	Printed  string // when and by which program, a sentence
	words    string // what the digest is of
}

// ErrNoRecord is said of a text that is no record, or not a whole one.
var ErrNoRecord = errors.New("is no record, or a part of it is missing")

// Words that stand before or behind a record are none of it, and are not let pass.
var recordForm = lazy.Regexp(`^(` + recordBegins + `.* ` + recordAgain +
	`rimegate record --from (\S+) --to (\S+) --known-at (\S+) (\S+) ` + recordEnds + `) ` + recordDigest + ` ((?:[0-9a-f]{8} ){7}[0-9a-f]{8}) ` +
	`(Printed \w{3} \d{1,2} \w{3} \d{4} \d\d:\d\d(?: UTC)? by rimegate [\w.+-]+(?: source)?(?: \w{12})?\.) ` +
	regexp.QuoteMeta(RecordVerify) + `$`)

// ReadRecord reads the text of a record, however its lines are broken.
func ReadRecord(text string) (*PrintedRecord, error) {
	m := recordForm().FindStringSubmatch(oneLine(text))
	if m == nil {
		return nil, ErrNoRecord
	}
	p := &PrintedRecord{words: m[1], ID: m[5], Digest: m[6], Printed: m[7]}
	var err [3]error
	p.From, err[0] = fields.ParseISODate(m[2])
	p.To, err[1] = fields.ParseISODate(m[3])
	p.Known, err[2] = time.Parse(time.RFC3339Nano, m[4])
	if errors.Join(err[:]...) != nil {
		return nil, ErrNoRecord
	}
	return p, nil
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Whole reports that the words make the digest printed below them.
func (p *PrintedRecord) Whole() bool { return digestOf(p.words) == p.Digest }

// Differs says in what a record of the same period and moment, made of the journal as it
// is, says otherwise than the printed one; nothing where it says the same.
func (p *PrintedRecord) Differs(now *Record) []string {
	if now.Digest() == p.Digest && p.Whole() {
		return nil
	}
	var more, gone []string
	ids := map[string]bool{}
	for _, e := range now.Entries {
		ids[e.ID] = true
		if e.shown && !strings.Contains(p.words, e.ID) {
			more = append(more, e.Words+" ["+e.ID+"]")
		}
	}
	for _, id := range recordIDs().FindAllString(p.words, -1) {
		if !ids[id] && !slices.Contains(gone, id) && !strings.Contains(now.words(), id) {
			gone = append(gone, id)
		}
	}
	var out []string
	if len(more) > 0 {
		out = append(out, plural(len(more), "entry")+" stands in the journal and not in the file:")
		out[0] = strings.Replace(out[0], "entrys stands", "entries stand", 1)
		out = append(out, more...)
	}
	if len(gone) > 0 {
		out = append(out, "In the file and not in the journal: "+strings.Join(gone, ", ")+".")
	}
	was, is := firstDifference(strings.Fields(p.words), strings.Fields(now.words()))
	return append(out, "The first difference: the file says \""+Clean(was)+"\", the journal \""+is+"\".")
}

var recordIDs = lazy.Regexp(`\b[0-7][0-9A-HJKMNP-TV-Z]{25}\b`)

// firstDifference is where two texts part, with some words before and behind.
func firstDifference(a, b []string) (was, is string) {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	around := func(x []string) string { return strings.Join(x[max(0, i-6):min(len(x), i+8)], " ") }
	return around(a), around(b)
}

// Since says in what a record differs from an earlier one of the same period: other stock
// that it answers for, other relaxed rules, and entries that the earlier one does not tell.
func (r *Record) Since(than *Record) []string {
	var out []string
	if !slices.Equal(r.stock, than.stock) {
		out = append(out, "The farm's stock changed: it answers for "+ClassWords(r.stock)+" now, for "+ClassWords(than.stock)+" then.")
	}
	if !slices.Equal(r.Relaxed, than.Relaxed) {
		out = append(out, "What is relaxed in the rules changed.")
	}
	for _, e := range r.Entries {
		if !slices.ContainsFunc(than.Entries, func(x RecordEntry) bool { return x.ID == e.ID }) {
			out = append(out, e.Words+" ["+e.ID+"]")
		}
	}
	return out
}
