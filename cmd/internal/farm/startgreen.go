package farm

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"rimegate/fields"
	"rimegate/fields/form"
	"rimegate/hazard/board"
)

// GreenLines say which acts would turn most of a page green: of each the act, what
// waits for it, and the command that logs it.
func (v *View) GreenLines() [][]string {
	acts, open := board.Greens(v.Assess(), board.Filter{})
	if open == 0 && len(v.gates()) > 0 {
		return [][]string{{board.AllGreen}}
	}
	var out [][]string
	for _, g := range acts[:min(board.MostGreen, len(acts))] {
		lines := g.Words(open)
		if g.Form != "" {
			lines = append(lines, "Then: "+v.command(g.Form, g.IDs))
		}
		if g.Form == fields.KindSampled { // only its result turns anything green
			lines = append(lines, "With its result: "+v.command(fields.KindLab, g.IDs))
		}
		out = append(out, lines)
	}
	return out
}

// GreenText writes them under a page.
func (v *View) GreenText(w io.Writer, width int) {
	list := v.GreenLines()
	if len(list) == 0 { // the page says what to set up
		return
	}
	fmt.Fprintln(w, "What would turn most of it green:")
	for i, lines := range list {
		first := fmt.Sprintf("  %d. ", i+1)
		for _, l := range lines {
			for _, row := range board.Wrap(l, first, "     ", width) {
				fmt.Fprintln(w, row)
			}
			first = "     "
		}
	}
}

// command is the line that logs an act: what must be said of it stands there to be
// filled in, and nothing that was not found is said.
func (v *View) command(kind fields.Kind, ids []string) string {
	k := form.Of(kind)
	words := []string{"rimegate log", string(kind)}
	for _, x := range fields.FieldsOf(kind) {
		f := k.Field(x.Name)
		if f == nil || f.Flag == "" || !x.Required && (x.Group == "" || x.Name != k.First) {
			continue
		}
		words = append(words, "--"+f.Flag, cmp.Or(f.Placeholder(), "WORD"))
	}
	if on := k.Field("on"); on != nil && on.Default(v.Now) == "" {
		words = append(words, "--on DAY")
	}
	if len(words) == 2 {
		words = append(words, "FLAGS")
	}
	place := "PADDOCK"
	switch {
	case len(ids) == 1 && v.History.LotOf(ids[0]).Lot != "":
		place = "--lot " + ids[0]
	case len(ids) == 1:
		place = ids[0]
	}
	if kind == fields.KindReading {
		place = v.readAt(ids)
	}
	return strings.Join(append(words, place), " ") + " (all flags: rimegate log " + string(kind) + " --help)"
}

// readAt says of which thermometer the nights of paddocks are read.
func (v *View) readAt(ids []string) string {
	used := map[string]bool{}
	for _, id := range ids {
		for _, st := range v.History.StationsOf(slices.Concat(v.History.Lines(id)...)) {
			used[st] = true
		}
	}
	switch all := slices.Sorted(maps.Keys(used)); len(all) {
	case 0:
		return "--in-paddock " + strings.Join(ids[:1], "")
	case 1:
		return "--station " + all[0]
	}
	return "--station STATION"
}
