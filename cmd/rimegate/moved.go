package main

import (
	"rimegate/fields"
	"rimegate/fields/form"
)

// moved are the two halves of a herd's move. That it goes in elsewhere takes it out of
// where it stood; the other half is there to be read, and for what they left.
func moved(r *request) ([]fields.Entry, error) {
	r.Answers = r.flags.Read(whatWasSaid(r.c, r.flags), r.context())
	r.Need("to")
	herd := ""
	if r.c.NArg() == 1 {
		id, err := r.view.Herd(r.c.Args().First())
		r.Failed("", err)
		herd = id
	} else {
		r.Wrong("", "name one herd, after the flags", "type it like `rimegate log moved --to creek pairs`")
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	k := form.Of(fields.KindGrazed)
	half := func(state fields.Move, paddock string) ([]fields.Entry, error) {
		said := whatWasSaid(r.c, k)
		if state == fields.MoveIn { // what they left is of the other half
			delete(said, "left_cm")
			delete(said, "swath_left")
		}
		said["state"], said["paddock"], said["herd"] = []string{string(state)}, []string{paddock}, []string{herd}
		return r.entries(k, said, nil)
	}
	in, err := half(fields.MoveIn, r.Text("to"))
	if err != nil {
		return nil, err
	}
	from, err := r.whence(herd, in[0].On)
	if err != nil || from == "" {
		return in, err
	}
	out, err := half(fields.MoveOut, from)
	return append(out, in...), err
}

// whence is the paddock that a herd comes out of by a move on a day, "" if it only goes
// in: where nobody knows, and where it came in on that very day, which an out of the
// same day would take for stock that was there before.
func (r *request) whence(herd string, on fields.Date) (string, error) {
	to, from := r.Text("to"), r.Text("from")
	stood, since := r.view.Stood(herd, on)
	left := r.c.IsSet("left") || r.c.IsSet("swath-left")
	switch {
	case to == from:
		return "", refusef("--to and --from are both %s; name two paddocks", to)
	case stood == to:
		return "", refusef("%s stood in %s already, since %s", herd, to, since.Words())
	case stood == "" && from == "" && left:
		return "", refusef("nobody logged where %s stood before, so there is no paddock they left; name it with --from",
			herd)
	case stood == "" && from == "":
		r.says = append(r.says, "nobody logged where "+herd+" stood before: only that they went in is logged. "+
			"With --from it is both")
	case from == "" && since == on && !left:
	case from == "":
		return stood, nil
	case stood != from && stood != "":
		r.says = append(r.says, "by the journal "+herd+" stood in "+stood+" since "+since.Words()+
			"; they are out of there too")
	}
	return from, nil
}
