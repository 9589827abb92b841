package main

import (
	"io"
	"path/filepath"

	"rimegate/cmd/internal/farm"
)

func runImport(r *request) error {
	from := ""
	var err error
	if !r.Has("watch") {
		if from, err = r.file("- is standard input"); err != nil {
			return err
		}
	}
	every := r.checkWatch()
	if err := r.err(); err != nil {
		return err
	}
	in := farm.NewIntake(r.view, r.Answers)
	in.Whole = r.Has("watch")
	open := func(path, name string) error {
		file, err := r.opened(path, "")
		if err != nil {
			return err
		}
		defer file.Close()
		in.Options.Received = r.clock()
		v := r.view
		if in.Whole { // others may have written since the watch began
			if v, err = r.farm.Lately(); err != nil {
				return err
			}
		}
		return r.takeFile(v, in, name, file)
	}
	if in.Whole {
		return r.watch(r.Text("watch"), r.Yes("once"), every, open)
	}
	if from == "-" {
		r.patience.hush() // somebody may be typing
		return r.takeFile(r.view, in, "standard input", r.in)
	}
	return open(from, filepath.Base(from))
}

// takeFile reads one file and stores its nights.
func (r *request) takeFile(v *farm.View, in *farm.Intake, name string, file io.Reader) error {
	found, err := in.Read(v, name, file)
	r.told(found.Told)
	if err != nil {
		return err
	}
	l, told, err := found.Import(v, r.Yes("dry_run"))
	if err != nil {
		return err
	}
	r.told(told)
	r.changes(&l.Logged)
	return nil
}

// told prints what is said of a file.
func (p *program) told(said []farm.Told) {
	for _, t := range said {
		p.para(t.First, t.Rest, t.Text)
	}
}
