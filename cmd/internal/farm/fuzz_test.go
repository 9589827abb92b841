package farm

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"rimegate/fields"
)

// FuzzSetUp: whatever file is given as a set-up, it is refused in clean words with its
// lines, and nothing is stored, or it is taken and the farm that it makes writes a
// set-up that makes the same farm.
func FuzzSetUp(f *testing.F) {
	for _, s := range []string{
		"[farm]\nname = \"Tallgrass\"\nzone = \"America/Denver\"\n[[paddock]]\npaddock = \"creek\"\nname = \"Creek\"\narea = \"40 ac\"\n",
		"[farm]\nname = \"a\\u0000b\"\nzone = \"UTC\"\n", "[farm]\nname = \"\\u001b[31m\"\nzone = \"America/Regina\"\n", "[[paddock]]\npaddock = 3\n",
		"[farm.name]\nx = 1\n", "[[herd]]\nherd = \"pairs\"\nclass = \"cows\"\nhead = \"85\"\n", "a = [[[[[[", "\xff\xfe", "[farm]\nname = 'x'\nname = 'y'\n", "[farm]\nzone = 1979-05-27T07:32:00Z\n",
	} {
		f.Add(s)
	}
	var form strings.Builder
	if err := Template(&form); err != nil {
		f.Fatal(err)
	}
	f.Add(form.String())
	f.Fuzz(func(t *testing.T, text string) {
		x := Open(filepath.Join(t.TempDir(), "farm.journal"))
		x.By = "A. Person"
		if _, err := x.SetUpFrom(strings.NewReader(text), false); err != nil {
			if !utf8.ValidString(err.Error()) || strings.ContainsFunc(err.Error(), func(r rune) bool {
				return r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
			}) {
				t.Fatalf("%q is refused with %q", text, err)
			}
			var ps fields.Problems
			if errors.As(err, &ps) && len(ps) == 0 {
				t.Fatalf("%q: %v", text, err)
			}
			if x.store.Exists() {
				t.Fatalf("%q is refused, and a journal is there", text)
			}
			return
		}
		v, err := x.View(Question{})
		if err != nil {
			t.Fatal(err)
		}
		var out, again strings.Builder
		if err := v.Export(&out); err != nil {
			t.Fatal(err)
		}
		y := Open(filepath.Join(t.TempDir(), "again.journal"))
		y.By = "A. Person"
		if _, err := y.SetUpFrom(strings.NewReader(out.String()), false); err != nil {
			t.Fatalf("%q makes a farm that writes\n%s\nwhich is refused: %v", text, out.String(), err)
		}
		if v, err = y.View(Question{}); err == nil {
			err = v.Export(&again)
		}
		if err != nil || again.String() != out.String() {
			t.Fatalf("%q: %v\n%s\nmakes\n%s", text, err, out.String(), again.String())
		}
	})
}
