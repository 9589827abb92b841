package main

import (
	"fmt"
	"strings"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/form"
)

// thing is something the farm has several of.
type thing struct {
	kind  fields.Kind
	list  func(*request)
	find  func(v *farm.View, typed string) (id string, err error)
	facts func(v *farm.View, id string) fields.Body // what is said of it, nil for nothing
	next  string                                    // what is to be done when one was added, SHORT standing for its name
}

var things = map[string]*thing{"paddock": &paddocks, "herd": &herds, "station": &stations, "lot": &lots}

func (t *thing) runList(r *request) (err error) {
	if err = r.load(); err == nil {
		t.list(r)
	}
	return err
}

// run adds a thing, or changes what is said of it.
func (t *thing) run(r *request, add bool) (err error) {
	if err = r.load(); err != nil {
		return err
	}
	k := form.Of(t.kind)
	said := whatWasSaid(r.c, k)
	var was fields.Body
	if names := fields.SplitList(said[string(t.kind)]); len(names) == 1 { // else the form says what is wrong
		id := names[0]
		if !add {
			if id, err = t.find(r.view, id); err != nil {
				return err
			}
			said[string(t.kind)] = []string{id}
		}
		was = t.facts(r.view, id)
		if add && was != nil {
			return fields.Problem{
				What: fmt.Sprintf("the %s %s is there already", t.kind, quoted(id)), Type: "change it with `rimegate " + string(t.kind) + " set`",
			}
		}
	}
	made, err := r.entries(k, said, was)
	if err != nil {
		return err
	}
	if err := r.store(made); err != nil || !add || t.next == "" {
		return err
	}
	r.para("", "  ", strings.ReplaceAll(t.next, "SHORT", said[string(t.kind)][0]))
	return nil
}
