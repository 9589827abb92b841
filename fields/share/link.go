//go:build !noshare

package share

import (
	"cmp"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"rimegate/fields"
	"rimegate/fields/journal"
)

// How long is waited for an answer of the server, and for a message to be acknowledged or
// to come; tests are less patient.
var (
	patience    = 5 * time.Second
	ackPatience = 10 * time.Second

	// seenEvery is how long a stream is quiet before a seat says that it exchanged all the
	// same: a farm that allows a day must not look as if nobody had.
	seenEvery = 8 * time.Hour
)

const (
	window     = 10 * time.Minute // in which the engine knows a message that comes twice
	batchBytes = 4 << 20          // of messages that are stored, or sent, at a time
	batchCount = 10000
	pending    = 256 // messages that are sent and not acknowledged yet
	attempts   = 4
)

// Link is a connection to a farm's stream.
type Link struct {
	*Seat
	nc     *nats.Conn
	js     jetstream.JetStream
	stream jetstream.Stream
	x      *journal.Exchanger
	denied atomic.Pointer[error] // what the server said of the credentials' rights
	report *Report
	reads  bool      // and changes nothing there
	idle   standing  // of the stream when all was exchanged
	saved  time.Time // when the settings were
}

// Dial connects to the server, which must know the farm's stream or may begin it.
func (s *Seat) Dial(ctx context.Context) (*Link, error) { return s.dial(ctx, false) }

func (s *Seat) dial(ctx context.Context, reads bool) (*Link, error) {
	l := &Link{Seat: s, reads: reads}
	if err := CheckFarm(s.Farm); err != nil {
		return nil, err
	}
	urls, encrypted, err := CheckServer(s.Settings.Server, s.CA != "")
	if err != nil {
		return nil, err
	}
	opts := []nats.Option{
		nats.Name("rimegate"), nats.Timeout(patience), nats.IgnoreDiscoveredServers(), nats.MaxReconnects(-1),
		nats.ReconnectWait(500 * time.Millisecond), nats.PingInterval(patience), nats.MaxPingsOutstanding(2),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) {
			if errors.Is(err, nats.ErrPermissionViolation) || errors.Is(err, nats.ErrAuthExpired) || errors.Is(err, nats.ErrAuthorization) {
				l.denied.Store(&err)
			}
		}),
	}
	if encrypted {
		t := &tls.Config{MinVersion: tls.VersionTLS12, Time: s.Clock}
		if s.CA != "" {
			text, err := fileText(s.CA)
			t.RootCAs = x509.NewCertPool()
			if err != nil || !t.RootCAs.AppendCertsFromPEM(text) {
				return nil, fmt.Errorf("the file %q of --tls-ca holds no certificate that can be read", s.CA)
			}
		}
		opts = append(opts, nats.Secure(t))
	}
	if s.Creds != "" {
		opt, err := s.credentials()
		if err != nil {
			return nil, err
		}
		opts = append(opts, opt)
	}
	if l.nc, err = nats.Connect(strings.Join(urls, ","), opts...); err != nil {
		return nil, l.words(err)
	}
	if l.js, err = jetstream.New(l.nc, jetstream.WithPublishAsyncMaxPending(pending), jetstream.WithPublishAsyncTimeout(ackPatience)); err == nil {
		err = l.open(ctx)
	}
	if err != nil {
		err = l.words(err)
		l.Close()
		return nil, err
	}
	return l, nil
}

// credentials reads a file of credentials: a token with its key, or a key alone.
func (s *Seat) credentials() (nats.Option, error) {
	if err := CheckCreds(s.Creds); err != nil {
		return nil, err
	}
	text, err := fileText(s.Creds)
	if err != nil {
		return nil, fmt.Errorf("the credentials file %q cannot be read (%w)", s.Creds, journal.Cause(err))
	}
	if strings.Contains(string(text), "BEGIN NATS USER JWT") {
		if end := expiry(string(text)); !end.IsZero() && end.Before(s.Clock()) {
			return nil, fmt.Errorf("the credentials in %q were good until %s and are over; ask whoever hosts the server for new ones",
				s.Creds, end.Format("2 Jan 2006 15:04 MST"))
		}
		return nats.UserCredentials(s.Creds), nil
	}
	opt, err := nats.NkeyOptionFromSeed(s.Creds)
	if err != nil {
		return nil, fmt.Errorf("the file %q holds no credentials that this program knows: neither a .creds file nor the seed of a user's key", s.Creds)
	}
	return opt, nil
}

// Close ends the connection.
func (l *Link) Close() { l.nc.Close() }

// open finds the farm's stream, or begins it.
func (l *Link) open(ctx context.Context) error {
	within, done := context.WithTimeout(ctx, patience)
	defer done()
	var err error
	l.stream, err = l.js.Stream(within, Stream(l.Farm))
	if errors.Is(err, jetstream.ErrStreamNotFound) && !l.reads {
		l.stream, err = l.begin(ctx)
	}
	if err != nil {
		return err
	}
	if c := l.stream.CachedInfo().Config; c.MaxAge != 0 || c.MaxMsgs > 0 || c.Discard != jetstream.DiscardNew || c.Retention != jetstream.LimitsPolicy {
		return fmt.Errorf("the stream of the farm %s is set up to drop old messages, so nothing was exchanged; see the guide of the server", l.Farm)
	}
	return nil
}

// begin makes a farm's stream: it keeps everything, refuses what it has no room for, and
// nobody deletes from it.
func (l *Link) begin(ctx context.Context) (jetstream.Stream, error) {
	within, done := context.WithTimeout(ctx, patience)
	defer done()
	c := jetstream.StreamConfig{
		Name: Stream(l.Farm), Subjects: []string{Subject(l.Farm)}, Retention: jetstream.LimitsPolicy, Discard: jetstream.DiscardNew,
		MaxMsgs: -1, MaxBytes: -1, MaxMsgSize: maxMessage, Storage: jetstream.FileStorage, Replicas: 1, Duplicates: window,
		DenyDelete: true, DenyPurge: true,
	}
	if l.nc.ConnectedClusterName() != "" {
		c.Replicas = 3
	}
	s, err := l.js.CreateStream(within, c)
	if errors.Is(err, jetstream.ErrStreamNameAlreadyInUse) { // another seat began it meanwhile
		return l.js.Stream(within, c.Name)
	}
	if errors.Is(err, context.DeadlineExceeded) && l.denied.Load() != nil {
		err = fmt.Errorf("the server has no stream of the farm %s, and these credentials may not begin one; check --farm, or ask whoever hosts it", l.Farm)
	}
	return s, err
}

// Exchange sends what the stream lacks and takes what the journal lacks. What was done
// before an error counts: the next exchange goes on from there.
func (l *Link) Exchange(ctx context.Context) (r *Report, err error) {
	l.report = &Report{}
	for n := range attempts {
		if err = l.exchange(ctx); err == nil || !temporary(err) || l.denied.Load() != nil {
			break
		}
		if waited(err) { // the computer that was asked may be the one that is cut off
			_ = l.nc.ForceReconnect()
		}
		if n == attempts-1 || !sleep(ctx, time.Second<<n) {
			break
		}
	}
	if err == nil {
		l.denied.Store(nil)
		l.seen(ctx)
		l.idle = l.standing()
		l.Last, l.Seq, l.saved = l.Clock(), l.x.Seq, l.Clock()
		err = errors.Join(l.Save(l.Store), dropSettled(l.Store))
	}
	return l.report, l.words(err)
}

// standing tells a stream from another one in its place.
type standing struct {
	began   time.Time
	connect uint64
}

func (l *Link) standing() standing {
	info := l.stream.CachedInfo()
	return standing{info.Created, l.nc.Stats().Reconnects}
}

// savedEvery is how often the settings of a seat that follows say that it exchanged.
const savedEvery = time.Minute

// Idle reports that neither side has anything new since all was exchanged over this link: the
// server is asked one question, and no entry is read.
func (l *Link) Idle(ctx context.Context) bool {
	if l.idle == (standing{}) {
		return false
	}
	l.report = &Report{}
	if fresh, err := l.x.Fresh(); !fresh || err != nil {
		return false
	}
	if last, err := l.last(ctx); err != nil || l.x.Seq != last || l.standing() != l.idle || l.quiet() {
		return false
	}
	if l.Last = l.Clock(); l.Last.Sub(l.saved).Abs() < savedEvery {
		return true
	}
	l.saved = l.Last
	return l.Save(l.Store) == nil
}

// quiet reports a stream to which nobody said anything for long.
func (l *Link) quiet() bool {
	s := l.stream.CachedInfo().State
	return l.x.Wrote && s.Msgs > 0 && l.report.Server.Sub(s.LastTime) > seenEvery
}

// seen says in a quiet stream that this seat, which writes, has exchanged. Whether that
// worked, the next exchange knows.
func (l *Link) seen(ctx context.Context) {
	if l.report.Sent > 0 || !l.quiet() {
		return
	}
	within, done := context.WithTimeout(ctx, patience)
	defer done()
	x := &journal.Outgoing{Seat: l.x.SeatName(), Text: []byte(seenText)}
	_, _ = l.js.PublishMsg(within, l.packed(x, "seen-"+l.report.Server.UTC().Format(time.RFC3339)))
}

// sleep waits; false if it was interrupted.
func sleep(ctx context.Context, d time.Duration) bool {
	wait, done := context.WithTimeout(ctx, d)
	defer done()
	<-wait.Done()
	return ctx.Err() == nil
}

func (l *Link) exchange(ctx context.Context) (err error) {
	if l.x == nil {
		if l.x, err = l.Store.Exchanger(l.Farm); err == nil {
			l.x.KeepAside = func(e *fields.Entry) error { return keepAside(l.Store, e) }
		}
	} else {
		err = l.x.Refresh()
	}
	for checked := false; err == nil; checked = true {
		last, err := l.last(ctx)
		if err != nil {
			return err
		}
		if !checked {
			if err := l.prove(ctx, last); err != nil {
				return err
			}
		}
		if err := l.take(ctx, last); err != nil {
			return err
		}
		if l.x.Unsent() == 0 {
			return nil
		}
		if err := l.send(ctx); err != nil {
			return err
		}
		if l.x.Unsent() == 0 && l.x.Seq > last { // nobody else sent meanwhile
			return nil
		}
	}
	return err
}

// last is the number of the stream's last message.
func (l *Link) last(ctx context.Context) (uint64, error) {
	within, done := context.WithTimeout(ctx, patience)
	defer done()
	info, err := l.stream.Info(within)
	if err != nil {
		return 0, err
	}
	l.report.Server = info.TimeStamp
	return info.State.LastSeq, nil
}

// markOf tells a message from another of the same number.
func markOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// prove sees that the stream is the one from which the journal was filled: a server that
// was set up anew, or brought back from an older backup, lacks what it once had.
func (l *Link) prove(ctx context.Context, last uint64) error {
	at := &l.x.Shared
	if at.Seq == 0 {
		return nil
	}
	if at.Seq <= last {
		text, err := l.message(ctx, at.Seq)
		if err != nil {
			return err
		}
		if markOf(text) == at.Mark {
			return nil
		}
	}
	l.report.Says = append(l.report.Says, "the server's stream is not the one it was, as after a backup was brought back; all of it is compared anew")
	return l.x.Restart()
}

// message reads one message, nil if it is not there.
func (l *Link) message(ctx context.Context, seq uint64) ([]byte, error) {
	within, done := context.WithTimeout(ctx, patience)
	defer done()
	m, err := l.stream.GetMsg(within, seq)
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return m.Data, nil
}

// incoming is what is not stored yet of what came.
type incoming struct {
	to      journal.Shared
	entries []journal.Arrival
	gaps    []journal.Gap
	bytes   int
}

// take brings the journal to a message of the stream.
func (l *Link) take(ctx context.Context, last uint64) error {
	in := &incoming{to: l.x.Shared}
	if in.to.Unread > 0 && in.to.UnreadBy != l.Program {
		in.to.Seq, in.to.Unread, in.to.Unreads = in.to.Unread-1, 0, 0
	}
	l.report.Unread = in.to.Unreads
	if in.to.Seq >= last {
		return nil
	}
	return l.each(ctx, in.to.Seq+1, last, func(seq uint64, head func(string) string, text []byte) error {
		in.to.Seq, in.to.Mark = seq, markOf(text)
		switch e, gap, err := arrival(head, text); {
		case err != nil:
			l.unreadable(in, seq, head, text, err)
		case gap != nil:
			in.gaps = append(in.gaps, *gap)
		case e != nil:
			in.entries = append(in.entries, *e)
		}
		if in.bytes += len(text); in.bytes >= batchBytes || len(in.entries) >= batchCount || seq == last {
			return l.store(in)
		}
		return nil
	})
}

// arrival is what a message holds: an entry that a journal takes, a gap, or neither.
func arrival(head func(string) string, text []byte) (*journal.Arrival, *journal.Gap, error) {
	m, err := Read(head, text)
	if err != nil || m.Entry == nil {
		return nil, m.Gap, err
	}
	a, probs := journal.Arrived(m.Entry)
	return &a, nil, probs.Err()
}

// unreadable notes a message that is not applied. One whose hash is right was written by
// a seat: a newer program may read it.
func (l *Link) unreadable(in *incoming, seq uint64, head func(string) string, text []byte, err error) {
	if head(headHash) != hashOf(head(headSeat), text) {
		l.report.Skipped++
		l.say("message %d of the stream is none of this program's and was passed over: %v", seq, err)
		return
	}
	l.say("message %d of the stream, from the seat %q, was not taken: %v", seq, head(headSeat), err)
	l.unread(&in.to, seq)
}

func (l *Link) unread(to *journal.Shared, seq uint64) {
	if to.Unread == 0 || seq < to.Unread {
		to.Unread = seq
	}
	to.Unreads++
	to.UnreadBy = l.Program
	l.report.Unread = to.Unreads
}

const maxSays = 10

func (l *Link) say(format string, args ...any) {
	if len(l.report.Says) < maxSays {
		l.report.Says = append(l.report.Says, fmt.Sprintf(format, args...))
	}
}

// store stores what came so far.
func (l *Link) store(in *incoming) error {
	got, err := l.x.Take(in.entries, in.gaps, in.to)
	if err != nil {
		return err
	}
	r := l.report
	r.Taken.Added += got.Added
	r.Taken.Same += got.Same
	r.Taken.Gaps += got.Gaps
	for i := range got.Aside {
		r.Aside = append(r.Aside, Aside{asideFile(l.Store, &got.Aside[i]), got.Aside[i]})
	}
	*in = incoming{to: l.x.Shared}
	return nil
}

// each reads the messages from one number to another, in order, with bounded memory.
func (l *Link) each(ctx context.Context, from, last uint64, do func(seq uint64, head func(string) string, text []byte) error) error {
	within, done := context.WithTimeout(ctx, ackPatience)
	c, err := l.stream.OrderedConsumer(within, jetstream.OrderedConsumerConfig{
		DeliverPolicy: jetstream.DeliverByStartSequencePolicy, OptStartSeq: from, MaxResetAttempts: 2, InactiveThreshold: time.Minute,
	})
	done()
	if err != nil {
		return err
	}
	it, err := c.Messages(jetstream.PullMaxMessagesWithBytesLimit(1000, batchBytes))
	if err != nil {
		return err
	}
	defer func() {
		it.Stop()
		within, done := context.WithTimeout(ctx, time.Second)
		defer done()
		_ = l.stream.DeleteConsumer(within, c.CachedInfo().Name) // else it goes by itself
	}()
	for {
		within, done := context.WithTimeout(ctx, ackPatience)
		m, err := it.Next(jetstream.NextContext(within))
		done()
		if err != nil {
			return err
		}
		meta, err := m.Metadata()
		if err != nil {
			return err
		}
		if seq := meta.Sequence.Stream; seq <= last {
			if err := do(seq, m.Headers().Get, m.Data()); err != nil {
				return err
			}
		}
		if meta.Sequence.Stream >= last {
			return nil
		}
	}
}

// send sends what the stream lacks, a batch at a time: the next one waits until all of
// the one before is acknowledged and the journal says so.
func (l *Link) send(ctx context.Context) error {
	for {
		lines, err := l.x.Lacking(batchBytes)
		if err != nil || len(lines) == 0 {
			return err
		}
		if err := l.sendBatch(ctx, lines); err != nil {
			return err
		}
	}
}

// sentLine is a line with the number that the stream gave it.
type sentLine struct {
	seq uint64
	*journal.Outgoing
}

func (l *Link) sendBatch(ctx context.Context, lines []journal.Outgoing) error {
	waits := make([]jetstream.PubAckFuture, len(lines))
	var failed error
	for i := range lines {
		m := l.packed(&lines[i], lines[i].ID)
		if size := len(m.Data) + maxHead; int64(size) > l.nc.MaxPayload() {
			l.tooLong(&lines[i])
			continue
		}
		if waits[i], failed = l.js.PublishMsgAsync(m, jetstream.WithStallWait(ackPatience)); failed != nil {
			break
		}
	}
	var done []sentLine
	var have []string
	for i, w := range waits {
		if w == nil {
			continue
		}
		ack, err := acked(ctx, w)
		switch {
		case code(err) == codeTooLong:
			l.tooLong(&lines[i])
			continue
		case err != nil:
			failed = cmp.Or(failed, err)
			continue
		case ack.Duplicate:
			if err := l.twice(ctx, &lines[i], ack.Sequence); err != nil {
				failed = cmp.Or(failed, err)
				continue
			}
		default:
			done = append(done, sentLine{ack.Sequence, &lines[i]})
		}
		have = append(have, lines[i].ID)
	}
	// As far as nobody else's messages stand between, they need not be read back.
	slices.SortFunc(done, func(a, b sentLine) int { return cmp.Compare(a.seq, b.seq) })
	to := l.x.Shared
	for _, x := range done {
		if x.seq == to.Seq+1 {
			to.Seq, to.Mark = x.seq, markOf(x.Text)
		}
	}
	l.report.Sent += len(done)
	if len(have) == 0 {
		return failed
	}
	return errors.Join(l.x.Have(have, to), failed)
}

// tooLong leaves out a line that the server does not take.
func (l *Link) tooLong(x *journal.Outgoing) {
	l.say("entry %s has %d bytes, more than the server takes, and was not sent: tell whoever hosts it (max_payload)",
		x.ID, len(x.Text))
	l.report.Kept++
	l.x.Skip(x.ID)
}

// packed is a line as a message.
func (l *Link) packed(x *journal.Outgoing, id string) *nats.Msg {
	m := nats.NewMsg(Subject(l.Farm))
	m.Data = x.Text
	m.Header[headID], m.Header[headSeat], m.Header[headHash] = []string{id}, []string{x.Seat}, []string{hashOf(x.Seat, x.Text)}
	return m
}

func acked(ctx context.Context, w jetstream.PubAckFuture) (*jetstream.PubAck, error) {
	select {
	case a := <-w.Ok():
		return a, nil
	case err := <-w.Err():
		return nil, err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// twice deals with a line that the engine took for one that it has: if that is another
// content under the same id, all seats must get to know both.
func (l *Link) twice(ctx context.Context, x *journal.Outgoing, seq uint64) error {
	there, err := l.message(ctx, seq)
	if err != nil || string(there) == string(x.Text) {
		return err
	}
	within, done := context.WithTimeout(ctx, ackPatience)
	defer done()
	_, err = l.js.PublishMsg(within, l.packed(x, x.ID+"-"+markOf(x.Text)))
	return err
}
