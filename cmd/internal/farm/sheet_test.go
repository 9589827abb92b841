package farm

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"rimegate/fields"
)

// utf16le is a text as a spreadsheet's "Unicode text", with its mark.
func utf16le(s string) string {
	out := []byte("\xff\xfe")
	for _, u := range utf16.Encode([]rune(s)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return string(out)
}

// What spreadsheets make of a file is read alike, and no row is lost.
func TestSheetsAsSpreadsheetsWriteThem(t *testing.T) {
	const rain = "rimegate log rain,paddocks,amount,on,note\n"
	const plain = rain + ",creek,12mm,20-Aug-2026,wet\n,\"creek, hills\",3mm,21-Aug-2026,\n"
	const semi = "rimegate log rain;paddocks;amount;on;note\n;creek;12mm;20-Aug-2026;wet\n;creek, hills;3mm;21-Aug-2026;\n"
	for name, text := range map[string]string{
		"plain":                plain,
		"mark":                 "\xef\xbb\xbf" + plain,
		"line ends of Windows": strings.ReplaceAll(plain, "\n", "\r\n"),
		"old line ends":        strings.ReplaceAll(plain, "\n", "\r"),
		"no last line end":     strings.TrimSuffix(plain, "\n"),
		"empty rows":           "\n,,,,\n" + plain + ",,,,\n,,,,\n",
		"empty columns":        strings.ReplaceAll(plain, "\n", ",,,\n"),
		"capitals and spaces":  " RIMEGATE  Log Rain , Paddock , AMOUNT,On,note" + plain[len(rain)-1:],
		"semicolons":           semi,
		"sep":                  "sep=;\n" + semi,
		"UTF-16 with tabs": utf16le("rimegate log rain\tpaddocks\tamount\ton\tnote\r\n" +
			"\tcreek\t12mm\t20-Aug-2026\twet\r\n\tcreek, hills\t3mm\t21-Aug-2026\t\r\n"),
		"unit in the heading": "rimegate log rain,paddocks,amount (mm),on,note\n,creek,12,20-Aug-2026,wet\n,\"creek,hills\",3,21-Aug-2026,\n",
		"days of Canada":      rain + ",creek,12mm,2026-08-20,wet\n,\"creek,hills\",3mm,2026/8/21 0:00,\n",
		"short years":         rain + ",creek,12mm,20-Aug-26,wet\n,\"creek,hills\",3mm,21 Aug 26,\n",
		"days of America":     rain + ",creek,12mm,8/20/2026,wet\n,\"creek,hills\",3mm,8/21/26,\n",
		"days of Britain":     rain + ",creek,12mm,20/08/2026,wet\n,\"creek,hills\",3mm,21/08/2026 00:00:00,\n",
		"a kind that is said": "paddock;amount;on;note\ncreek;12mm;20-Aug-2026;wet\ncreek,hills;3mm;21-Aug-2026\n",
	} {
		t.Run(name, func(t *testing.T) {
			opt := SheetOptions{}
			if strings.HasPrefix(text, "paddock") {
				opt.Kind = "Rain"
			}
			f := sheetFarm(t)
			out, err := f.bring(text, opt, Sure{})
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, e := range out.Entries {
				b := e.Body.(*fields.Rain)
				got += fmt.Sprintln(b.Paddocks, *b.MM, e.On, e.Note)
			}
			if want := "[creek] 12 2026-08-20 wet\n[creek hills] 3 2026-08-21 \n"; got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

// A file that cannot be read for sure is refused in one sentence that says where.
func TestSheetsRefused(t *testing.T) {
	const head = "rimegate log rain,paddocks,amount,on\n"
	for _, c := range []struct{ text, want string }{
		{"", "x.csv: is empty"},
		{"\n,,\n", "x.csv: is empty"},
		{head, "x.csv: has no row to bring in"},
		{"PK\x03\x04abc", "x.csv: is the spreadsheet itself and not a CSV file of it; save it as CSV UTF-8"},
		{"\xd0\xcf\x11\xe0abc", "x.csv: is the spreadsheet itself"},
		{
			head + ",Pe\xf1a,12mm,20-Aug-2026\n",
			"x.csv: is not in UTF-8, so its accented letters cannot be told; save it as CSV UTF-8",
		},
		{"r\x00i\x00m\x00", "x.csv: is no text: it has zero bytes"},
		{
			"paddocks,amount\ncreek,3mm\n",
			`x.csv line 1: the heading begins with "paddocks" and does not say of what the rows are`,
		},
		{
			"rimegate log rain,paddocks,Paddock\n",
			`x.csv line 1: heading: "paddocks" and "Paddock" are the same column`,
		},
		{
			"rimegate log rain,paddoks\n",
			`x.csv line 1: heading: "paddoks" is no column of rain; did you mean paddocks?`,
		},
		{
			"rimegate log rain,amount (kg)\n",
			`x.csv line 1: heading: "amount (kg)": "kg" is no unit of a depth of rain`,
		},
		{"rimegate log rain\n,creek\n", "x.csv line 1: heading: names no column"},
		{"rimegate log strike,entry\n,x\n", "does not say of what the rows are"},
		{head + ",\"creek,12mm\n", "x.csv line 2: a cell is not quoted right from here on"},
		{
			head + ",creek,12mm,20-Aug-2026,more\n",
			`x.csv line 2: "more" has no heading above it; give column E a heading, or empty it`,
		},
		{head + "x,creek,12mm,20-Aug-2026\n", `x.csv line 2: the first cell holds "x"`},
		{
			head + "# type,creek,12mm,20-Aug-2026\n",
			"x.csv line 2: begins with \"#\" like a row of the template, but is none; empty its first cell if it is an entry",
		},
		{head + ",creek,12,20-Aug-2026\n", `x.csv line 2: amount: "12" has no unit; type 12mm or 12in`},
		{head + ",creek,,20-Aug-2026\n", "x.csv line 2: amount: is missing; type 12mm or 0.5in"},
		{head + ",creek,12mm,\n", "x.csv line 2: on: is missing; type the day in full, like 17-Sep-2026"},
		{head + ",creek,12mm,yesterday\n", `x.csv line 2: on: "yesterday" counts from the day on which it is read`},
		{head + ",creek,12mm,20-Aug\n", `x.csv line 2: on: "20-Aug" counts from the day on which it is read`},
		{head + ",,12mm,20-Aug-2026\n", "x.csv line 2: paddocks: is missing; type short names or names, with commas"},
		{
			head + ",crek,12mm,20-Aug-2026\n",
			`x.csv line 2: paddocks: there is no paddock "crek"; did you mean creek?`,
		},
		{head + ",creek,12mm,7-Oct-2026\n", "x.csv line 2: on: Wed 7 Oct 2026 has not come yet"},
		{
			head + ",creek,12mm,6/7/2026\n",
			`x.csv line 2: on: "6/7/2026" can be Mon 6 Jul 2026 or Sun 7 Jun 2026, and no date in the file settles it; say --date-order dmy, mdy or ymd`,
		},
		{head + ",creek,12mm,26/10/06\n", "and no date in the file settles it"},
		{
			head + ",creek,12mm,13/8/2026\n,creek,12mm,8/13/2026\n",
			"x.csv line 3: the dates contradict one another: line 3 cannot have the day first, line 2 cannot have the month first",
		},
		{head + ",creek,12mm,13/13/2026\n", `x.csv line 2: on: "13/13/2026" is no day; write it like 2026-10-06`},
		{
			head + ",creek,=A1,20-Aug-2026\n",
			`x.csv line 2: amount: "=A1" is a formula or its error; put the value itself in the cell`,
		},
		{head + ",creek,#REF!,20-Aug-2026\n", `x.csv line 2: amount: "#REF!" is a formula or its error`},
		{head + ",creek,12mm,20-Aug-2026 07:00\n", "x.csv line 2: on: "},
		{
			head + strings.Repeat(",creek,12mm,20-Aug-2026\n", maxSheetRows+1),
			"x.csv line 10002: there are more than 10000 rows; split the file",
		},
		{head + strings.Repeat("x", maxSheet), "x.csv: is longer than 8 MB; split it"},
	} {
		f := sheetFarm(t)
		_, err := f.bring(c.text, SheetOptions{}, Sure{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.60q: %v\nwant %s", c.text, err, c.want)
		}
		if v, err := f.View(Question{}); err != nil || len(v.Entries) != f.entries {
			t.Errorf("%.60q: something was stored", c.text)
		}
	}
	for _, c := range []struct {
		opt  SheetOptions
		want string
	}{
		{SheetOptions{Kind: "farm"}, `--kind: "farm" is no kind of a sheet; type one of frost, `},
		{SheetOptions{Kind: "walk"}, `the heading says "rimegate log rain" and --kind says walk; leave out --kind`},
		{SheetOptions{DateOrder: "myd"}, `--date-order: "myd" is no order; type dmy, mdy or ymd`},
	} {
		_, err := ReadSheet("x.csv", strings.NewReader(head+",creek,12mm,20-Aug-2026\n"), c.opt)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v", c.opt, err)
		}
	}
}

// The order of dates that was said holds for all of them.
func TestSheetDatesInTheOrderSaid(t *testing.T) {
	for order, want := range map[string]string{"dmy": "2026-07-06", "mdy": "2026-06-07", "": "2026-07-06"} {
		text := "rimegate log rain,paddocks,amount,on\n,creek,12mm,6/7/2026\n"
		if order == "" { // another date of the file settles it
			text += ",creek,12mm,31/7/2026\n"
		}
		s, err := ReadSheet("x.csv", strings.NewReader(text), SheetOptions{DateOrder: order})
		if err != nil || s.Rows[0].Said["on"][0] != want || s.Dates == "" {
			t.Errorf("%q: %+v, %v", order, s, err)
		}
	}
}

// No file makes the reader fail in any other way than by refusing it.
func FuzzReadSheet(f *testing.F) {
	for _, s := range []string{
		"rimegate log walk,paddock,on,shortest (cm)\n,creek,6/7/2026,80\n# x,,\n", "sep=;\nrimegate log rain;on\n;1-2-3\n",
		utf16le("rimegate log rain\ton\n"), "rimegate herd add,herd,class\n,\"a\nb\",cows", "a,b\n\"", "\xef\xbb\xbf{",
	} {
		f.Add([]byte(s), "")
		f.Add([]byte(s), "walk")
	}
	f.Fuzz(func(t *testing.T, text []byte, kind string) {
		s, err := ReadSheet("x.csv", strings.NewReader(string(text)), SheetOptions{Kind: kind})
		if (s == nil) == (err == nil) {
			t.Fatalf("%v, %v", s, err)
		}
		if s == nil {
			return
		}
		for _, row := range s.Rows {
			for name, texts := range row.Said {
				if s.Kind.Field(name) == nil || len(texts) != 1 || strings.TrimSpace(texts[0]) == "" || row.Line < 2 {
					t.Fatalf("%q: %q", name, texts)
				}
			}
		}
		if _, err := Open("none").Blank().backfill(s, true, Sure{}); err == nil && len(s.Rows) == 0 && len(s.problems) == 0 {
			t.Fatal("a sheet of nothing is taken")
		}
	})
}
