package fields_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"
	"unsafe"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"rimegate/fields"
	"rimegate/fields/internal/anyentry"
)

// draws lets rapid choose, and shrink, what anyentry builds.
type draws struct{ t *rapid.T }

func (d draws) IntN(n int) int { return rapid.IntRange(0, n-1).Draw(d.t, "n") }

func TestEveryKindRoundTrips(t *testing.T) {
	for _, k := range fields.Kinds() {
		t.Run(string(k), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				e := anyentry.Of(draws{t}, k)
				if ps := fields.Check(&e); len(ps) > 0 {
					t.Fatalf("the generator made an impossible entry: %v", ps)
				}
				text := fields.Encode(&e)
				back, ps := fields.DecodeEntry(text)
				if len(ps) > 0 {
					t.Fatalf("%s\n%v", text, ps)
				}
				if diff := cmp.Diff(e, *back, sameInstant); diff != "" {
					t.Fatalf("%s\n%s", text, diff)
				}
				if again := fields.Encode(back); !bytes.Equal(again, text) {
					t.Fatalf("encodes differently the second time:\n%s\n%s", text, again)
				}
				if bytes.ContainsAny(text, "\n\r") {
					t.Fatalf("an entry must be one line: %q", text)
				}
			})
		})
	}
}

// sameInstant compares the instant and the offset that is printed, not the
// pointer to a zone, and looks into bodies.
var sameInstant = cmp.Options{
	cmp.Comparer(func(a, b time.Time) bool {
		return a.Format(time.RFC3339Nano) == b.Format(time.RFC3339Nano)
	}),
	cmp.Exporter(func(reflect.Type) bool { return true }),
}

func TestJSONLRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []fields.Entry
		seen := map[string]bool{}
		for range rapid.IntRange(0, 8).Draw(t, "entries") {
			if e := anyentry.Any(draws{t}); !seen[e.ID] {
				seen[e.ID] = true
				list = append(list, e)
			}
		}
		var b bytes.Buffer
		if err := fields.WriteJSONL(&b, list); err != nil {
			t.Fatal(err)
		}
		back, err := fields.ReadJSONL(&b)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(list, back, sameInstant); diff != "" {
			t.Fatal(diff)
		}
	})
}

const (
	idA = "01J8ZQ4V7W3C5D6E7F8G9H0JKA"
	idB = "01J8ZQ4V7W3C5D6E7F8G9H0JKB"
)

// line writes an entry of a kind with the fields every entry has.
func line(id, kind, rest string) string {
	if rest != "" {
		rest = "," + rest
	}
	return fmt.Sprintf(`{"id":%q,"kind":%q,"recorded":"2026-09-17T06:40:00-06:00","by":"sam"%s}`, id, kind, rest)
}

// problems reads a text that must be refused.
func problems(t *testing.T, text string) fields.Problems {
	t.Helper()
	got, err := fields.ReadJSONL(strings.NewReader(text))
	ps, ok := err.(fields.Problems)
	if !ok || len(ps) == 0 {
		t.Fatalf("not refused: %v, entries %v\n%s", err, got, text)
	}
	if got != nil {
		t.Fatalf("entries came back beside problems: %v", got)
	}
	return ps
}

func TestRefused(t *testing.T) {
	frost := `"paddocks":["north"],"night":"2026-09-17"`
	for _, c := range []struct {
		name, text string
		want       []string // each problem as field: part of its words
	}{
		{"unknown kind", line(idA, "thaw", `"on":"2026-09-17"`), []string{`kind: there is no kind "thaw"`}},
		{"kind in capitals", line(idA, "Frost", frost), []string{`kind: there is no kind "Frost"`}},
		{"no kind", `{"id":"` + idA + `","recorded":"2026-09-17T06:40:00Z","by":"sam"}`, []string{"kind: is missing"}},
		{"unknown field", line(idA, "frost", frost+`,"colour":"white"`), []string{"colour: a frost entry has no such field; if a newer rimegate wrote it, update this one"}},
		{"field in capitals", line(idA, "frost", frost+`,"Note":"x"`), []string{"Note: a frost entry has no such field"}},
		{"a field of another kind", line(idA, "frost", frost+`,"mm":3`), []string{"mm: a frost entry has no such field"}},
		{"a field's name cannot drive the terminal", line(idA, "frost", frost+`,"\u001b[31m":3`), []string{`"\x1b[31m": a frost entry has no such field`}},
		{"doubled field", line(idA, "frost", frost+`,"note":"a","note":"a"`), []string{"note: the field is given twice"}},
		{"doubled by escape", line(idA, "frost", frost+`,"note":"a","n\u006fte":"b"`), []string{"note: the field is given twice"}},
		{"doubled id", line(idA, "frost", frost+`,"id":"`+idB+`"`), []string{"id: the field is given twice"}},
		{"doubled in a list", line(idA, "sown", `"on":"2026-06-01","paddock":"north","species":[{"species":"oats","species":"sorghum"}]`), []string{"species: must be a list like"}},
		{"unknown in a list", line(idA, "sown", `"on":"2026-06-01","paddock":"north","species":[{"Species":"oats"}]`), []string{"species: must be a list like"}},
		{"null in a list", line(idA, "sown", `"on":"2026-06-01","paddock":"north","species":[null]`), []string{"species: must be a list like"}},
		{"doubled in the watch", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"UTC","frost_watch":{"from":"08-15","to":"06-15","to":"09-15"}`), []string{"frost_watch: must be like"}},
		{"half a watch", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"UTC","frost_watch":{"from":"08-15"}`), []string{"frost_watch: must be like"}},
		{"a watch from no day", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"UTC","frost_watch":{"from":"02-30","to":"06-15"}`), []string{"frost_watch: must be like"}},
		{"unknown contact", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"UTC","contacts":{"plumber":"x"}`), []string{"contacts: must be like"}},
		{"missing required", line(idA, "no-frost", ""), []string{"paddocks: is missing", "from: is missing", "to: is missing", "basis: is missing", "on: is missing; say the day"}},
		{"null is not said", line(idA, "rain", `"on":"2026-06-01","paddocks":["north"],"mm":null`), []string{"mm: is missing"}},
		{"none of a group", line(idA, "reading", `"night":"2026-09-17"`), []string{"station: is missing; give station or paddock", "low_c: is missing; give low_c or below_zero"}},
		{"no signer", `{"id":"` + idA + `","kind":"read","recorded":"2026-09-17T06:40:00Z","by":" ","on":"2026-09-17"}`, []string{"by: is empty"}},
		{"no day", line(idA, "read", ""), []string{"on: is missing"}},
		{"id too short", line("01J8", "frost", frost), []string{`id: "01J8" is not a ULID`}},
		{"id in small letters", line(strings.ToLower(idA), "frost", frost), []string{`id: is not a ULID`}},
		{"id too large", line("8ZZZZZZZZZZZZZZZZZZZZZZZZZ", "frost", frost), []string{`id: is not a ULID`}},
		{"recorded without a zone", `{"id":"` + idA + `","kind":"read","recorded":"2026-09-17T06:40:00","by":"s","on":"2026-09-17"}`, []string{"recorded: is not an instant with a zone; write it like 2026-09-17T06:40:00-06:00"}},
		{"30 February", line(idA, "frost", `"paddocks":["north"],"night":"2026-02-30"`), []string{`night: "2026-02-30" is not a date`}},
		{"a date as people write it", line(idA, "frost", `"paddocks":["north"],"night":"17-Sep-2026"`), []string{"night: "}},
		{"a date as a number", line(idA, "frost", `"paddocks":["north"],"night":20260917`), []string{"night: must be a date in quotes"}},
		{"number in quotes", line(idA, "frost", frost+`,"low_c":"-3"`), []string{"low_c: must be a plain number"}},
		{"number with a unit", line(idA, "frost", frost+`,"low_c":"-3C"`), []string{"low_c: must be a plain number"}},
		{"number too large to be", line(idA, "frost", frost+`,"low_c":1e999`), []string{"low_c: 1e999 is not a number that can be"}},
		{"colder than can be", line(idA, "frost", frost+`,"low_c":-273.16`), []string{"low_c: -273.16 cannot be; it lies between -90 and 60"}},
		{"bool in quotes", line(idA, "walk", `"on":"2026-09-17","paddock":"north","dry":"yes"`), []string{"dry: must be true or false"}},
		{"bool as a number", line(idA, "walk", `"on":"2026-09-17","paddock":"north","dry":1`), []string{"dry: must be true or false"}},
		{"word not offered", line(idA, "cut", `"on":"2026-09-17","paddock":"north","use":"haylage"`), []string{`use: "haylage" is not one of hay, silage, swath, green-chop`}},
		{"list not a list", line(idA, "hail", `"on":"2026-09-17","paddocks":"north"`), []string{"paddocks: must be a list of texts"}},
		{"empty list", line(idA, "hail", `"on":"2026-09-17","paddocks":[]`), []string{"paddocks: is an empty list"}},
		{"null in a list of texts", line(idA, "hail", `"on":"2026-09-17","paddocks":["north",null]`), []string{"paddocks: must be a list of texts"}},
		{"twice in a list", line(idA, "hail", `"on":"2026-09-17","paddocks":["north","north"]`), []string{`paddocks: names "north" twice`}},
		{"not a short name", line(idA, "hail", `"on":"2026-09-17","paddocks":["north slough"]`), []string{`paddocks: "north slough" is not a short name`}},
		{"a name like a flag", line(idA, "hail", `"on":"2026-09-17","paddocks":["-north"]`), []string{`paddocks: "-north" is not a short name`}},
		{"paddock and paddocks", line(idA, "hail", `"on":"2026-09-17","paddocks":["north"],"paddock":"creek"`), []string{"paddock: a hail entry has no such field"}},
		{"paddocks where one is meant", line(idA, "cut", `"on":"2026-09-17","paddocks":["north"],"use":"hay"`), []string{"paddocks: a cut entry has no such field", "paddock: is missing"}},
		{"no zone of that name", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"Mountain"`), []string{`zone: "Mountain" is not a time zone`}},
		{"the computer's own zone", line(idA, "farm", `"on":"2026-06-01","name":"f","zone":"Local"`), []string{`zone: "Local" is not a time zone`}},
		{"warmer offset", line(idA, "paddock", `"on":"2026-06-01","paddock":"north","name":"N","offset_c":0.5`), []string{"offset_c: 0.5 °C (0.9 °F) without a minus is warmer"}},
		{"a low and its opposite", line(idA, "reading", `"station":"yard","night":"2026-09-17","low_c":-1,"below_zero":false`), []string{"below_zero: false, but the low is -1"}},
		{"to before from", line(idA, "no-frost", `"paddocks":["north"],"from":"2026-09-17","to":"2026-09-16","basis":"looked-at-dawn"`), []string{"to: 2026-09-16 is before 2026-09-17"}},
		{"damage after the walk", line(idA, "walk", `"on":"2026-09-17","paddock":"north","damage_night":"2026-09-18"`), []string{"damage_night: 2026-09-18 is after the walk"}},
		{"nitrate without a form", line(idA, "lab", `"lot":"a","sampled_on":"2026-09-17","analyte":"nitrate","values":[1],"unit":"ppm","basis":"dm","method":"lab"`), []string{"form: is missing for a nitrate result"}},
		{"hcn with a form", line(idA, "lab", `"lot":"a","sampled_on":"2026-09-17","analyte":"hcn","form":"NO3","values":[1],"unit":"ppm","basis":"dm","method":"lab"`), []string{"form: belongs to nitrate results only"}},
		{"more than all of it", line(idA, "lab", `"lot":"a","sampled_on":"2026-09-17","analyte":"hcn","values":[101],"unit":"%","basis":"dm","method":"lab"`), []string{"values: 101 % cannot be"}},
		{"no value", line(idA, "lab", `"lot":"a","sampled_on":"2026-09-17","analyte":"hcn","values":[],"unit":"ppm","basis":"dm","method":"lab"`), []string{"values: is an empty list"}},
		{"may-graze without an end", line(idA, "vet", `"on":"2026-09-17","paddock":"north","advice":"may-graze","who":"dr","because":"seen"`), []string{"until: is missing; a may-graze needs its last day"}},
		{"until before its day", line(idA, "vet", `"on":"2026-09-17","paddock":"north","advice":"keep-off","who":"dr","because":"seen","until":"2026-09-16"`), []string{"until: 2026-09-16 is before 2026-09-17"}},
		{"split into one", line(idA, "split", `"on":"2026-09-17","from":["a"],"into":["b"]`), []string{"into: a split makes at least two"}},
		{"split into itself", line(idA, "split", `"on":"2026-09-17","from":["a"],"into":["a","b"]`), []string{`into: "a" is on both sides`}},
		{"join of one", line(idA, "join", `"on":"2026-09-17","from":["a"],"into":["b"]`), []string{"from: a join takes at least two"}},
		{"share of more than all", line(idA, "sown", `"on":"2026-06-01","paddock":"north","species":[{"species":"oats","share":140}]`), []string{"species: share 140 cannot be"}},
		{"species without a name", line(idA, "sown", `"on":"2026-06-01","paddock":"north","species":[{"share":40}]`), []string{"species: has a species without a name"}},
		{"empty rule value", line(idA, "override", `"on":"2026-06-01","rule":"r","value":"","because":"b"`), []string{"value: is empty"}},
		{"rule value of no sort", line(idA, "override", `"on":"2026-06-01","rule":"r","value":[1],"because":"b"`), []string{"value: must be a number or a word"}},
		{"strike of no entry", line(idA, "strike", `"on":"2026-06-01","entry":"the frost","because":"b"`), []string{`entry: "the frost" is not the id of an entry`}},
		{"not JSON", "frost north -3", []string{": the line is not one JSON object"}},
		{"a list", "[1,2]", []string{": the line is not one JSON object (it does not begin with {)"}},
		{"cut off", `{"id":"` + idA, []string{": the line is not one JSON object (it ends too early)"}},
		{"two on a line", line(idA, "frost", frost) + line(idB, "frost", frost), []string{": there is more after the JSON object"}},
		{"a comma at the end", strings.TrimSuffix(line(idA, "frost", frost), "}") + ",}", []string{": the line is not one JSON object"}},
		{"not UTF-8", "{\"id\":\"\xff\"}", []string{": the line is not UTF-8 text"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			ps := problems(t, c.text)
			if len(ps) != len(c.want) {
				t.Fatalf("want %d problems, got %d:\n%v", len(c.want), len(ps), ps)
			}
			for i, p := range ps {
				field, words, _ := strings.Cut(c.want[i], ": ")
				if i := strings.LastIndex(c.want[i], `": `); strings.HasPrefix(field, `"`) && i >= 0 {
					field = field[:i+1]
				}
				if p.Line != 1 || p.Field != field || !strings.Contains(p.Error(), words) {
					t.Errorf("problem %d: want field %q with %q, got %q in field %q", i, field, words, p.Error(), p.Field)
				}
				if s := p.Error(); strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f }) {
					t.Errorf("a control character in %q", s)
				}
			}
		})
	}
}

// A person mends a file once, not once per mistake.
func TestAllProblemsAtOnce(t *testing.T) {
	text := strings.Join([]string{
		line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17"`),
		`{"id":"x","kind":"frost","recorded":"yesterday","paddocks":"north","night":"soon","low_c":"-3","colour":1,"note":"a","note":"b"}`,
		"",
		line(idB, "lab", `"sampled_on":"2026-09-17","analyte":"nitrate","values":["many"],"unit":"ppm"`),
		"frost north",
		line(idA, "frost", `"paddocks":["creek"],"night":"2026-09-17"`),
	}, "\n")
	ps := problems(t, text)
	var got []string
	for _, p := range ps {
		got = append(got, fmt.Sprintf("%d %s", p.Line, p.Field))
	}
	want := []string{
		"2 note", "2 id", "2 recorded", "2 by", "2 paddocks", "2 night", "2 low_c", "2 colour",
		"4 values", "4 basis", "4 method", "4 paddock", "4 form",
		"5 ",
		"6 id",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s\n%v", diff, ps)
	}
}

func TestSameIDSameContentIsKeptOnce(t *testing.T) {
	a := line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17"`)
	// The same facts in another order and writing are the same content.
	b := `{ "night":"2026-09-17", "paddock":"north", "by":"s\u0061m", "recorded":"2026-09-17T06:40:00.000-06:00", "kind":"frost", "note":null, "id":"` + idA + `" }`
	got, err := fields.ReadJSONL(strings.NewReader(a + "\n" + b + "\n" + a))
	if err != nil || len(got) != 1 {
		t.Fatalf("%d entries, %v", len(got), err)
	}
}

func TestSameIDOtherContentNamesBothLines(t *testing.T) {
	a := line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17"`)
	for name, b := range map[string]string{
		"another night": line(idA, "frost", `"paddocks":["north"],"night":"2026-09-18"`),
		"another kind":  line(idA, "hail", `"paddocks":["north"],"on":"2026-09-17"`),
		"a note more":   line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17","note":"x"`),
		// The same instant in another zone is another statement of when it was
		// written down, and prints differently.
		"another zone": strings.Replace(a, "06:40:00-06:00", "12:40:00Z", 1),
	} {
		ps := problems(t, "\n"+a+"\n\n"+b)
		if len(ps) != 1 || ps[0].Line != 4 || !strings.Contains(ps[0].Error(), "line 2") || !strings.Contains(ps[0].Error(), idA) {
			t.Errorf("%s: %v", name, ps)
		}
	}
}

func TestAccepted(t *testing.T) {
	frost := line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17"`)
	for name, text := range map[string]string{
		"a byte order mark":       "\xef\xbb\xbf" + frost,
		"Windows line ends":       frost + "\r\n",
		"no line end":             frost,
		"blank lines":             "\n  \n" + frost + "\n\n",
		"blanks around":           "\t " + frost + " ",
		"a single paddock":        line(idA, "frost", `"paddock":"north","night":"2026-09-17"`),
		"an extra on":             line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17","on":"2026-09-17"`),
		"nulls for what may lack": line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17","low_c":null,"seen":null,"at":null,"on":null,"note":null,"ended_at":null`),
		"a null paddock beside":   line(idA, "round", `"on":"2026-09-17","name":"walk","rrule":"FREQ=DAILY","paddock":null`),
		"only when it ended":      line(idA, "frost", `"paddocks":["north"],"ended_at":"2026-09-17T07:10:00-06:00"`),
	} {
		got, err := fields.ReadJSONL(strings.NewReader(text))
		if err != nil || len(got) != 1 {
			t.Errorf("%s: %d entries, %v", name, len(got), err)
			continue
		}
		if _, ok := got[0].Body.(*fields.Frost); ok && !reflect.DeepEqual(got[0].Paddocks(), []string{"north"}) {
			t.Errorf("%s: paddocks %v", name, got[0].Paddocks())
		}
	}
}

func TestByteOrderMarkOnlyAtTheBeginning(t *testing.T) {
	frost := line(idA, "frost", `"paddocks":["north"],"night":"2026-09-17"`)
	ps := problems(t, "\n\xef\xbb\xbf"+frost)
	if len(ps) != 1 || ps[0].Line != 2 {
		t.Error(ps)
	}
}

func TestMinusZeroIsZero(t *testing.T) {
	for _, pair := range [][2]string{
		{line(idA, "reading", `"station":"yard","night":"2026-09-17","low_c":-0`), line(idA, "reading", `"station":"yard","night":"2026-09-17","low_c":0`)},
		{line(idA, "reading", `"station":"yard","night":"2026-09-17","low_c":-0.0e5`), line(idA, "reading", `"station":"yard","night":"2026-09-17","low_c":0`)},
		{line(idA, "sown", `"on":"2026-06-01","paddock":"n","species":[{"species":"oats","share":-0}]`), line(idA, "sown", `"on":"2026-06-01","paddock":"n","species":[{"species":"oats","share":0}]`)},
		{line(idA, "override", `"on":"2026-06-01","rule":"r","because":"b","value":-0`), line(idA, "override", `"on":"2026-06-01","rule":"r","because":"b","value":0`)},
	} {
		got, err := fields.ReadJSONL(strings.NewReader(pair[0] + "\n" + pair[1]))
		if err != nil || len(got) != 1 {
			t.Errorf("not the same entry: %v\n%s", err, pair[0])
			continue
		}
		if r, ok := got[0].Body.(*fields.Reading); ok && math.Signbit(*r.LowC) {
			t.Error("the low is still -0")
		}
	}
}

func TestLeftOutIsNotSaid(t *testing.T) {
	got, err := fields.ReadJSONL(strings.NewReader(
		line(idA, "walk", `"on":"2026-09-17","paddock":"north"`) + "\n" +
			line(idB, "walk", `"on":"2026-09-17","paddock":"north","dry":false,"shoots_cm":0,"alive":[],"wilted":false`)))
	if err != nil {
		t.Fatal(err)
	}
	a, b := got[0].Body.(*fields.Walk), got[1].Body.(*fields.Walk)
	if a.Dry != nil || a.ShootsCM != nil || a.Alive != nil || a.Wilted != nil {
		t.Error("something left out was read as said")
	}
	if b.Dry == nil || *b.Dry || b.ShootsCM == nil || *b.ShootsCM != 0 || b.Alive == nil || b.Wilted == nil {
		t.Error("something said was read as left out")
	}
	if s := string(fields.Encode(&got[1])); !strings.Contains(s, `"alive":[]`) || !strings.Contains(s, `"dry":false`) || !strings.Contains(s, `"shoots_cm":0`) {
		t.Error(s)
	}
}

func TestLongLines(t *testing.T) {
	head := line(idA, "read", `"on":"2026-09-17","note":"`)
	head = strings.TrimSuffix(head, "}")
	fits := head + strings.Repeat("x", fields.MaxLine-len(head)-3) + `"}`
	if len(fits)+1 != fields.MaxLine {
		t.Fatal(len(fits))
	}
	if got, err := fields.ReadJSONL(strings.NewReader(fits + "\n")); err != nil || len(got) != 1 {
		t.Errorf("the longest line: %v", err)
	}
	after := line(idB, "thaw", "")
	for name, text := range map[string]string{
		"one byte too long": strings.Replace(fits, "xx", "xxx", 1) + "\n" + after,
		"far too long":      strings.Repeat("x", 3*fields.MaxLine) + "\n" + after,
	} {
		ps := problems(t, text)
		if len(ps) != 2 || ps[0].Line != 1 || !strings.Contains(ps[0].What, "longer than 1048576 bytes") || ps[1].Line != 2 {
			t.Errorf("%s: %.200v", name, ps)
		}
	}
	if ps := problems(t, strings.Repeat("x", 2*fields.MaxLine)); len(ps) != 1 {
		t.Errorf("a long last line: %.200v", ps)
	}
}

// Field order is part of the stored form: hashes rest on it.
func TestEncodeIsStable(t *testing.T) {
	for kind, want := range map[string]string{
		"frost":   `{"id":"` + idA + `","kind":"frost","recorded":"2026-09-17T06:40:00-06:00","by":"sam","paddocks":["north","creek"],"night":"2026-09-17","low_c":-2.5,"seen":"white <grass> & ice","note":"n"}`,
		"reading": `{"id":"` + idA + `","kind":"reading","recorded":"2026-09-17T06:40:00.5Z","by":"sam","station":"yard","night":"2026-09-17","low_c":1e-7,"covers":true}`,
		"farm":    `{"id":"` + idA + `","kind":"farm","recorded":"2026-09-17T06:40:00-06:00","by":"sam","name":"f","zone":"America/Regina","frost_watch":{"from":"08-15","to":"06-15"},"contacts":{"vet":"555"},"on":"2026-01-02"}`,
		"sown":    `{"id":"` + idA + `","kind":"sown","recorded":"2026-09-17T06:40:00-06:00","by":"sam","paddock":"n","species":[{"species":"oats","share":40},{"species":"pea"}],"new_stand":true,"on":"2026-06-02","at":"2026-06-02T10:00:00-06:00"}`,
	} {
		e, ps := fields.DecodeEntry([]byte(want))
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		if got := string(fields.Encode(e)); got != want {
			t.Errorf("%s:\n%s\n%s", kind, got, want)
		}
	}
}

// Check must say the same of an entry built by a screen as the codec says of a
// text, wherever such an entry can be built.
func TestCheckRefusesWhatOnlyMemoryHolds(t *testing.T) {
	low := func(n float64) *fields.Frost {
		return &fields.Frost{Paddocks: []string{"n"}, Night: fields.MakeDate(2026, 9, 17), LowC: &n}
	}
	at := time.Date(2026, 9, 17, 6, 40, 0, 0, time.UTC)
	for name, e := range map[string]fields.Entry{
		"NaN":             {Recorded: at, By: "s", Body: low(math.NaN())},
		"infinity":        {Recorded: at, By: "s", Body: low(math.Inf(-1))},
		"bad UTF-8 note":  {Recorded: at, By: "s", Note: "\xff", Body: low(-1)},
		"bad UTF-8 list":  {Recorded: at, By: "s", Body: &fields.Hail{Paddocks: []string{"\xff"}}, On: 1},
		"no signer":       {Recorded: at, Body: low(-1)},
		"never recorded":  {By: "s", Body: low(-1)},
		"no rule value":   {Recorded: at, By: "s", On: 1, Body: &fields.Override{Rule: "r", Because: "b", Value: &fields.RuleValue{}}},
		"NaN rule value":  {Recorded: at, By: "s", On: 1, Body: &fields.Override{Rule: "r", Because: "b", Value: &fields.RuleValue{Number: new(math.NaN())}}},
		"NaN lab value":   {Recorded: at, By: "s", Body: &fields.Lab{Lot: "a", SampledOn: 1, Analyte: "hcn", Values: fields.Values(1, math.NaN()), Unit: "ppm", Basis: "dm", Method: "lab"}},
		"endless text":    {Recorded: at, By: "s", Body: &fields.Frost{Paddocks: []string{"n"}, Night: 1, Seen: strings.Repeat("x", 70_000)}},
		"nobody's id":     {ID: "x", Recorded: at, By: "s", Body: low(-1)},
		"share of NaN":    {Recorded: at, By: "s", On: 1, Body: &fields.Sown{Paddock: "n", Species: []fields.SpeciesShare{{Species: "oats", Share: new(math.NaN())}}}},
		"nothing in seen": {Recorded: at, By: "s", On: 1, Body: &fields.Seen{Paddock: "n", Species: []string{}}},
	} {
		if ps := fields.Check(&e); len(ps) != 1 {
			t.Errorf("%s: %d problems: %v", name, len(ps), ps)
		}
	}
}

func TestKindsAndFieldsAreListed(t *testing.T) {
	ks := fields.Kinds()
	if len(ks) != 34 {
		t.Errorf("%d kinds", len(ks))
	}
	for _, k := range ks {
		b := fields.NewBody(k)
		if b == nil || fields.KindOf(b) != k {
			t.Errorf("kind %q makes %T", k, b)
			continue
		}
		for _, f := range fields.FieldsOf(k) {
			switch f.Name {
			case "id", "kind", "recorded", "by", "on", "at", "note":
				t.Errorf("%s: the field %q is the entry's own", k, f.Name)
			}
		}
	}
	if fields.NewBody("thaw") != nil || fields.FieldsOf("thaw") != nil {
		t.Error("an unknown kind has a body")
	}
}

// failing gives an error in the middle, as a disk does.
type failing struct{ r *strings.Reader }

func (f failing) Read(p []byte) (int, error) {
	if f.r.Len() == 0 {
		return 0, errDisk
	}
	return f.r.Read(p)
}

var errDisk = fmt.Errorf("disk trouble")

func TestReaderFailureIsNoProblemOfTheText(t *testing.T) {
	got, err := fields.ReadJSONL(failing{strings.NewReader(line(idA, "read", `"on":"2026-09-17"`) + "\n{")})
	if err != errDisk || got != nil {
		t.Errorf("%v, %v", got, err)
	}
}

// A text that leaves the journal holds nothing that acts on a terminal or hides
// in it, and reads back as the very same entry.
func TestWriteJSONLEscapesWhatIsNotSeen(t *testing.T) {
	acts := []rune{0, 7, 0x1b, 0x7f, 0x85, 0x9b, 0xad, 0x61c, 0x200b, 0x200d, 0x200f, 0x2028, 0x202e, 0x2066, 0x2069, 0x3164, 0xfe0f, 0xfeff, 0xe0041, 0xe0100}
	note := "süd ☂ 😀 \\u202e \"quoted\" "
	for _, r := range acts {
		note += string(r) + "x"
	}
	e := fields.Entry{
		ID: "01J8ZQ4V7W0000000000000001", Recorded: time.Date(2026, 9, 17, 6, 40, 0, 0, time.UTC), By: "s\u202eam", Note: note,
		Body: &fields.Frost{Paddocks: []string{"north"}, Night: fields.MakeDate(2026, 9, 17)},
	}
	var b bytes.Buffer
	if err := fields.WriteJSONL(&b, []fields.Entry{e}); err != nil {
		t.Fatal(err)
	}
	for _, r := range acts {
		if strings.ContainsRune(b.String(), r) {
			t.Errorf("%U stands in the text", r)
		}
	}
	for _, s := range []string{"süd ☂ 😀", `s\u202eam`, `\\u202e`, `\udb40\udc41`} {
		if !strings.Contains(b.String(), s) {
			t.Errorf("%s is missing in %s", s, b.String())
		}
	}
	got, err := fields.ReadJSONL(&b)
	if err != nil || len(got) != 1 || got[0].Note != note || !bytes.Equal(fields.Encode(&got[0]), fields.Encode(&e)) {
		t.Errorf("%v, %v", got, err)
	}
	if !bytes.Contains(fields.Encode(&e), []byte("\u202e")) {
		t.Error("the stored form changed, and with it hashes and identity")
	}
}

// An empty value of a damaged journal is no entry; nothing panics.
func TestDecodeNothing(t *testing.T) {
	for _, text := range []string{"", " ", "{", "x"} {
		if e, ps := fields.DecodeEntry([]byte(text)); e != nil || len(ps) == 0 {
			t.Errorf("%q: %v, %v", text, e, ps)
		}
	}
}

// The beginning of an entry, wherever a write broke off, is no entry; nothing panics.
func TestDecodeBeginnings(t *testing.T) {
	for _, k := range fields.Kinds() {
		e := anyentry.Of(rand.New(rand.NewPCG(1, 2)), k)
		for n, text := 0, fields.Encode(&e); n < len(text); n++ {
			if got, ps := fields.DecodeEntry(text[:n]); got != nil || len(ps) == 0 {
				t.Fatalf("%s is %v, %v", text[:n], got, ps)
			}
		}
	}
}

// An entry that kept a part of the text it was read from would keep all of it, and a district's
// entries a whole journal.
func TestEntriesKeepNothingOfTheirText(t *testing.T) {
	for _, k := range fields.Kinds() {
		rapid.Check(t, func(t *rapid.T) {
			given := anyentry.Of(draws{t}, k)
			text, e := fields.Encode(&given), &fields.Entry{}
			room := bytes.Clone(text)
			if ps := fields.DecodeInto(e, unsafe.String(&room[0], len(room))); len(ps) > 0 {
				t.Fatalf("%s: %v", text, ps)
			}
			clear(room)
			if got := fields.Encode(e); !bytes.Equal(got, text) {
				t.Fatalf("with its text gone, %s became %q", text, got)
			}
		})
	}
}
