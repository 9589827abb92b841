package main

func runStrike(r *request) error {
	switch {
	case r.Has("batch") && r.c.NArg() > 0:
		return usagef("an entry and --batch are both given; strike one entry, or all that an import brought")
	case !r.Has("batch") && r.c.NArg() != 1:
		return usagef("`rimegate strike` takes the id of one entry; `rimegate history` shows them")
	}
	r.Need("because")
	if err := r.err(); err != nil {
		return err
	}
	if r.Has("batch") {
		l, b, err := r.view.StrikeBatch(r.Text("batch"), r.Text("because"), r.Yes("dry_run"))
		if err != nil {
			return err
		}
		r.para("", "  ", b.Words())
		return r.logged(l)
	}
	l, err := r.view.Strike(r.c.Args().First(), r.Text("because"), r.Yes("dry_run"))
	if err != nil {
		return err
	}
	return r.logged(l)
}
