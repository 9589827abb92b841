package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rimegate/cmd/internal/farm"
	"rimegate/fields"
	"rimegate/fields/share"
	"rimegate/hazard/board"
)

// credsEnd ends the name of a farm's credentials in the folder of a district.
const credsEnd = ".creds"

// patientFarms is how many farms in a row may find no server before the others are not asked.
const patientFarms = 3

// runDistrict lists the mornings of many farms, one at a time: no more than the largest farm
// and the list itself is ever held.
func runDistrict(r *request) error {
	if r.c.NArg() != 1 || r.c.Args().First() != "today" {
		return usagef("`rimegate district` lists one thing; type " +
			"`rimegate district --server tls://HOST:4222 --creds FOLDER today`")
	}
	collectAt.Store(streamCollectAt)
	r.view = farm.Gathered(r.clock, nil)
	r.Answers = r.flags.Read(whatWasSaid(r.c, r.flags), r.context())
	if err := r.err(); err != nil {
		return err
	}
	x := share.Settings{}
	r.way(&x)
	if _, _, err := share.CheckServer(x.Server, x.CA != ""); err != nil {
		return usagef("--server: %v", err)
	}
	ids, err := districtFarms(x.Creds, typed(r.c, "farm"))
	if err != nil {
		return err
	}
	d := board.NewDistrict(x.Server, r.clock(), r.filter())
	missed := 0
	for _, id := range ids {
		if missed == patientFarms {
			d.Add(id, nil, time.Time{}, "it was not asked, since the server answered none of the farms before it")
			continue
		}
		s := share.Seat{Settings: x, Clock: r.clock, Program: version()}
		if s.Farm = id; x.Creds != "" {
			s.Creds = filepath.Join(x.Creds, id+credsEnd)
		}
		if err := r.morning(d, &s); err != nil && share.Unreached(err) {
			missed++
		} else {
			missed = 0
		}
	}
	if err := r.print(d, d.JSON); err != nil {
		return err
	}
	if n := d.InTrouble(); n > 0 {
		return fmt.Errorf("%d of %s in trouble: each counts as NO", n, counted(len(ids), "farm", "farms"))
	}
	return nil
}

// districtFarms are the farms that are named, or those that the folder has credentials for.
func districtFarms(folder string, named []string) ([]string, error) {
	if len(named) > 0 || folder == "" {
		if len(named) == 0 {
			return nil, usagef("--creds: nobody said which farms; name the folder with a file ID%s for each", credsEnd)
		}
		return named, nil
	}
	files, err := os.ReadDir(folder)
	if err != nil {
		return nil, usagef("--creds: the folder %s cannot be read (%v)", quoted(folder), cause(err))
	}
	var ids []string
	for _, f := range files {
		if id, ok := strings.CutSuffix(f.Name(), credsEnd); ok {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return nil, usagef("--creds: the folder %s holds no credentials; a farm's are named by its id, like coulee%s",
			quoted(folder), credsEnd)
	}
	return ids, nil
}

// morning adds a farm to the list; the error is why it could not be read.
func (r *request) morning(d *board.District, s *share.Seat) error {
	h, err := s.Whole(context.Background())
	if err != nil {
		d.Add(s.Farm, nil, time.Time{}, err.Error())
		return err
	}
	entries, doubts := h.Entries()
	if h.Unread > 0 {
		doubts = append(doubts, entriesOf(h.Unread)+" of it cannot be read by this program: update it")
	}
	if h.Lost > 0 {
		doubts = append(doubts, fmt.Sprintf("%d messages of its stream were deleted", h.Lost))
	}
	v := farm.Gathered(r.clock, entries)
	if v.Behind != "" {
		doubts = append(doubts, v.Behind+", so nobody knows what today is")
	}
	if text := v.Unheard(h.Last, h.Server); text != "" {
		doubts = append(doubts, text)
	}
	apart := r.clocksApart(h.Server, r.clock().Location())
	switch {
	case apart == "":
	case fields.DateOf(r.clock(), v.Loc) > fields.DateOf(h.Server, v.Loc): // waits would seem to be over
		doubts = append(doubts, apart+": nobody knows what today is")
	case len(d.Notes) == 0:
		d.Notes = append(d.Notes, apart+".")
	}
	page := board.NewPage(v.Assess(), r.filter(), nil)
	page.Notices = slices.Concat(page.Notices, v.Notes, h.Says)
	d.Add(s.Farm, page, h.Last, strings.Join(doubts, "; "))
	return nil
}
