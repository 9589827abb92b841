package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"time"

	"rimegate/cmd/internal/farm"
	"rimegate/fields/journal"
	"rimegate/fields/share"
)

// runShare exchanges the journal with the farm's stream, once or until it is told to end.
func runShare(r *request) error {
	if r.c.NArg() > 0 {
		return usagef("`rimegate share` takes flags only; type --server URL --farm ID")
	}
	follow := r.c.Bool("follow")
	if follow && r.c.Bool("once") {
		return usagef("--follow: and --once are both given; it is one of the two")
	}
	seat, err := r.seat()
	if err != nil {
		return err
	}
	if !seat.Store.Exists() {
		if err := r.create(); err != nil {
			return err
		}
	}
	if follow {
		return r.follow(seat)
	}
	return r.exchange(context.Background(), seat, nil)
}

// seat is what is remembered of how this seat shares, and what the line says anew.
func (r *request) seat() (*share.Seat, error) {
	store := r.farm.Store()
	known, err := share.Load(store)
	if err != nil && !r.c.IsSet("server") {
		return nil, err
	}
	x := &share.Seat{Store: store, Clock: r.clock, Program: version()}
	if known != nil {
		x.Settings = *known
	}
	if id, ok := value(r.c, "farm"); ok {
		if id != x.Farm {
			x.Last, x.Seq = time.Time{}, 0
		}
		x.Farm = id
	}
	r.way(&x.Settings)
	switch {
	case x.Server == "" || x.Farm == "":
		return nil, usagef("--server: nobody said yet with which server and as which farm; type --server tls://HOST:4222 --farm ID once, and it is remembered")
	case share.CheckFarm(x.Farm) != nil:
		return nil, usagef("--farm: %v", share.CheckFarm(x.Farm))
	}
	if _, _, err := share.CheckServer(x.Server, x.CA != ""); err != nil {
		return nil, usagef("--server: %v", err)
	}
	if x.Creds != "" {
		if err := share.CheckCreds(x.Creds); err != nil {
			return nil, usagef("--creds: %v", err)
		}
	}
	return x, nil
}

// way reads the flags of the way to the server.
func (r *request) way(x *share.Settings) {
	if s, ok := value(r.c, "server"); ok {
		x.Server = s
	}
	for name, to := range map[string]*string{"creds": &x.Creds, "tls-ca": &x.CA} {
		if s, ok := value(r.c, name); ok {
			*to = s
			if full, err := filepath.Abs(s); err == nil && s != "" { // it is used from any folder
				*to = full
			}
		}
	}
}

// exchange exchanges once, over a link that is there or a new one, and says what it did.
func (r *request) exchange(ctx context.Context, seat *share.Seat, link *share.Link) error {
	if link == nil {
		var err error
		if link, err = seat.Dial(ctx); err != nil {
			return err
		}
		defer link.Close()
	}
	rep, err := r.exchangeOver(ctx, link, true)
	switch {
	case err == nil && len(rep.Aside)+rep.Unread > 0:
		return ends(statusRefused)
	case err == nil && rep.Kept > 0:
		return ends(statusFailed)
	}
	return err
}

// exchangeOver exchanges and says what it did, if anything or always.
func (r *request) exchangeOver(ctx context.Context, link *share.Link, always bool) (*share.Report, error) {
	before, err := r.farm.Lately()
	if err != nil {
		return nil, err
	}
	rep, failed := link.Exchange(ctx)
	news := rep.Sent+rep.Taken.Added+len(rep.Aside)+len(rep.Says) > 0
	if news && !always {
		fmt.Fprintln(r.out, r.clock().In(before.Loc).Format("15:04:05"))
	}
	if news || always {
		if err := r.exchanged(before, rep); err != nil {
			return rep, err
		}
	}
	return rep, failed
}

// exchanged prints what an exchange did, and what it changed.
func (r *request) exchanged(before *farm.View, rep *share.Report) error {
	r.say("Sent %s, took %s; %d were in the journal already.", entriesOf(rep.Sent), entriesOf(rep.Taken.Added), rep.Taken.Same)
	for _, s := range rep.Says {
		r.note(s)
	}
	if rep.Unread > 0 {
		r.note(fmt.Sprintf("%s that other seats sent cannot be read by this program: update it, and until then treat what they may say as not known",
			entriesOf(rep.Unread)))
	}
	for _, a := range rep.Aside {
		r.note(fmt.Sprintf("entry %s came with another content than it has in this journal; it does not count and lies in %s: "+
			"find out which is right, then rimegate journal import --keep ours (or theirs, or both) with that file", a.Entry.ID, a.File))
	}
	if text := r.clocksApart(rep.Server, before.Loc); text != "" {
		r.note(text + "; what was exchanged is whole")
	}
	if rep.Taken.Added == 0 || len(before.Entries) == 0 { // a new seat's journal: all of it is news
		return nil
	}
	return r.changed(before)
}

// clocksApart says that this computer's clock and a server's do not agree, "" if they do.
func (r *request) clocksApart(server time.Time, loc *time.Location) string {
	if d := server.Sub(r.clock()); server.IsZero() || d.Abs() <= farm.ClockSlack {
		return ""
	}
	const form = "Mon 2 Jan 2006 15:04"
	return fmt.Sprintf("this computer's clock says %s and the server's %s: "+
		"set the wrong one right, or entries carry a wrong time", r.clock().In(loc).Format(form), server.In(loc).Format(form))
}

// followEvery is how often a seat that follows looks for what is new on both sides.
const followEvery = 5 * time.Second

// follow exchanges until it is interrupted; what cannot be reached is tried again.
func (r *request) follow(seat *share.Seat) error {
	r.patience.end() // it ends by itself
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	r.note(fmt.Sprintf("sharing the farm %s with %s; Ctrl-C ends it", seat.Farm, seat.Server))
	var link *share.Link
	said := ""
	for {
		err := error(nil)
		if link == nil {
			link, err = seat.Dial(ctx)
		}
		if err == nil && !link.Idle(ctx) {
			_, err = r.exchangeOver(ctx, link, false)
		}
		if ctx.Err() != nil {
			err = nil
		}
		if text := fmt.Sprint(err); err != nil && text != said { // once, however long it lasts
			r.fail(err)
		}
		said = fmt.Sprint(err)
		if err != nil && !errors.Is(err, journal.ErrLocked) && link != nil {
			link.Close()
			link = nil
		}
		if !sleep(ctx, followEvery) {
			break
		}
	}
	if link != nil {
		link.Close()
	}
	r.note("no longer sharing the farm " + seat.Farm)
	return nil
}
