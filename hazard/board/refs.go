package board

import (
	"fmt"

	"rimegate/hazard"
)

// refs numbers the publications of a text, each once.
type refs struct{ list []hazard.Source }

// mark is " [3]" for a publication, " (ours)" and the like where there is none.
func (r *refs) mark(s hazard.Source, basis string) string {
	if s.ID == "" && s.Publisher == "" && s.URL == "" {
		switch basis {
		case "common-practice":
			return " (common practice, no source)"
		case "ours":
			return " (ours)"
		}
		return ""
	}
	for i := range r.list {
		if r.list[i].ID == s.ID && r.list[i].URL == s.URL {
			return fmt.Sprintf(" [%d]", i+1)
		}
	}
	s.Says = ""
	r.list = append(r.list, s)
	return fmt.Sprintf(" [%d]", len(r.list))
}

// print lists the publications under their numbers.
func (r *refs) print(t *text) {
	if len(r.list) == 0 {
		return
	}
	t.blank()
	t.para("", "", "SOURCES")
	for i := range r.list {
		first := fmt.Sprintf("  [%d] ", i+1)
		t.whole(first, "      ", SourceLine(&r.list[i]))
	}
}
