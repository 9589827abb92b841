//go:build !noshare && unix

package main

import (
	"bufio"
	"io"
	"net"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/jwt/v2"
	"github.com/nats-io/nkeys"
)

// shared is a farm's seat: the script's farm, and how it is asked to share.
func (h *hosted) shared(name string) (share func(args ...string) (int, string, string), journal func() string) {
	h.t.Helper()
	path := h.path(name + ".journal")
	h.write(name+".jsonl", strings.Join(farmLines(h.t), "\n"))
	if status, _, errOut := invoke(h.t, "--journal", path, "journal", "import", h.path(name+".jsonl")); status != statusDone {
		h.t.Fatal(errOut)
	}
	share = func(args ...string) (int, string, string) {
		return invoke(h.t, append([]string{"--journal", path, "share"}, args...)...)
	}
	return share, func() string {
		_, text, _ := invoke(h.t, "--journal", path, "journal", "export")
		return text
	}
}

// What goes wrong with a server has one plain sentence and its status; the journal stays as
// it was, and the next exchange that can be made makes up for all.
func TestShareFailsInOneSentence(t *testing.T) {
	smallFarm(t)
	t.Setenv("RIMEGATE_NOW", "") // the server has the true time
	h := hostFarms(t, "coulee", "bench")
	share, journal := h.shared("shop")
	before := journal()
	h.key("nobody.nk")
	silent, late := silence(t), h.hangs()
	self, err := exec.LookPath("rimegate")
	if err != nil {
		t.Fatal(err)
	}
	var wait sync.WaitGroup
	for _, c := range []struct {
		what, want string
		status     int
		args       []string
	}{
		{"a key nobody knows", "refused the credentials", 1, []string{"--server", h.url(), "--creds", h.path("nobody.nk")}},
		{"another farm's, whose stream may not even be asked for", "have no right to the farm coulee", 1, []string{"--server", h.url(), "--creds", h.path("bench.nk")}},
		{"a reader's, where no stream is", "these credentials may not begin one", 1, []string{"--server", h.url(), "--creds", h.path("farms/coulee.creds")}},
		{"no credentials", "asks for credentials", 1, []string{"--server", h.url()}},
		{"connects and hangs at once", "no server answers", 1, []string{"--server", silent, "--creds", h.path("coulee.nk")}},
		{"connects and hangs later", "is reached, but only half", 1, []string{"--server", late, "--creds", h.path("coulee.nk")}},
		{"no address", "no address of a server", 2, []string{"--server", "share.example.org", "--creds", h.path("coulee.nk")}},
	} {
		wait.Go(func() { // most of them wait for seconds
			cmd := exec.Command(self, append([]string{"--journal", h.path("shop.journal"), "share", "--farm", "coulee"}, c.args...)...)
			var errOut strings.Builder
			cmd.Stderr = &errOut
			_ = cmd.Run()
			if got := cmd.ProcessState.ExitCode(); got != c.status || !strings.Contains(errOut.String(), c.want) || strings.Count(errOut.String(), "\n") != 1 {
				t.Errorf("%s: status %d, %q", c.what, got, errOut.String())
			}
			t.Log(errOut.String())
		})
	}
	wait.Wait()
	if journal() != before {
		t.Error("the journal is another one")
	}
	if status, out, errOut := share("--server", h.url(), "--farm", "coulee", "--creds", h.path("coulee.nk")); status != statusDone ||
		!strings.Contains(out, "Sent "+entriesOf(len(farmLines(t)))) {
		t.Errorf("afterwards: status %d, %q, %q", status, out, errOut)
	}
}

// silence is the address of a computer that takes connections and says nothing.
func silence(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			t.Cleanup(func() { c.Close() })
		}
	}()
	return "nats://" + l.Addr().String()
}

// hangs is the server behind a network that carries the greetings of both and no more.
func (h *hosted) hangs() string {
	h.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			s, err := net.Dial("tcp", strings.TrimPrefix(h.url(), "nats://"))
			if err != nil {
				return
			}
			h.t.Cleanup(func() { c.Close(); s.Close() })
			go func() { _, _ = io.Copy(c, s) }()
			go func() {
				lines := bufio.NewReader(c)
				for line := ""; line != "PING\r\n"; {
					var err error
					if line, err = lines.ReadString('\n'); err != nil {
						return
					}
					_, _ = io.WriteString(s, line)
				}
			}()
		}
	}()
	return "nats://" + l.Addr().String()
}

// A full stream, and an entry that the server does not take: what was not sent is sent when
// the server takes it.
func TestShareKeepsWhatIsNotTaken(t *testing.T) {
	smallFarm(t)
	t.Setenv("RIMEGATE_NOW", "") // the server has the true time
	h := hostFarms(t, "coulee")
	share, journal := h.shared("shop")
	before := journal()
	way := []string{"--server", h.url(), "--farm", "coulee", "--creds", h.path("coulee.nk")}
	h.limits = "max_file: 1GB, max_bytes_required: true"
	h.reload()
	if status, _, errOut := share(way...); status != statusFailed || !strings.Contains(errOut, "lets no stream of the farm coulee begin") ||
		strings.Count(errOut, "\n") != 1 {
		t.Errorf("no stream: status %d, %q", status, errOut)
	}
	h.limits = "max_file: 4KB"
	h.reload()
	if status, _, errOut := share(way...); status != statusFailed || !strings.Contains(errOut, "has no room left") || strings.Count(errOut, "\n") != 1 {
		t.Errorf("full: status %d, %q", status, errOut)
	}
	h.limits, h.payload = "max_file: 1GB", "6KB"
	h.reload()
	long := strings.Replace(farmLines(t)[0], `"by":`, `"note":"`+strings.Repeat("x", 5000)+`","by":`, 1)
	h.write("long.jsonl", strings.Replace(long, `"id":"01K0`, `"id":"01K1`, 1))
	if status, _, errOut := invoke(t, "--journal", h.path("shop.journal"), "journal", "import", h.path("long.jsonl")); status != statusDone {
		t.Fatal(errOut)
	}
	status, out, errOut := share(way...)
	if status != statusFailed || !strings.Contains(errOut, "more than the server takes, and was not sent") || !strings.Contains(out, "Sent ") {
		t.Errorf("too long: status %d, %q, %q", status, out, errOut)
	}
	h.payload = "2MB"
	h.reload()
	if status, out, errOut := share(way...); status != statusDone || !strings.Contains(out, "Sent 1 entry") {
		t.Errorf("afterwards: status %d, %q, %q", status, out, errOut)
	}
	if lines := strings.Split(journal(), "\n"); len(lines) != len(strings.Split(before, "\n"))+1 {
		t.Errorf("%d lines", len(lines))
	}
}

// following is a seat that follows, in a process of its own.
type following struct {
	*exec.Cmd
	err spoken
}

func (h *hosted) follow(name string, args ...string) *following {
	h.t.Helper()
	self, err := exec.LookPath("rimegate")
	if err != nil {
		h.t.Fatal(err)
	}
	f := &following{Cmd: exec.Command(self, append([]string{"--journal", h.path(name + ".journal"), "share", "--follow"}, args...)...)}
	f.Stderr = &f.err
	if err := f.Start(); err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = f.Process.Kill(); _ = f.Wait() })
	return f
}

func (f *following) says(t *testing.T, want string) {
	t.Helper()
	for range 300 {
		if strings.Contains(f.err.String(), want) {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("it never says %q, but %s", want, f.err.String())
}

// Who follows is told once that its credentials were taken back, or are over, and goes on
// where they are good again; nothing is lost meanwhile.
func TestShareFollowsThroughCredentials(t *testing.T) {
	smallFarm(t)
	t.Setenv("RIMEGATE_NOW", "") // the server has the true time
	h := hostFarms(t, "coulee")
	_, journal := h.shared("shop")
	f := h.follow("shop", "--server", h.url(), "--farm", "coulee", "--creds", h.path("coulee.nk"))
	sent := func(want string) {
		t.Helper()
		for range 300 {
			if strings.Contains(h.messages(), want) {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Fatalf("the stream holds %s, and %s", h.messages(), f.err.String())
	}
	n := len(farmLines(t))
	sent(" " + strconv.Itoa(n))
	users := h.users["coulee"]
	_, h.users["coulee"], _ = strings.Cut(users, "\n")
	h.reload()
	if status, _, errOut := invoke(t, "--journal", h.path("shop.journal"), "log", "rain", "--amount", "3mm", "creek"); status != statusDone {
		t.Fatal(errOut)
	}
	f.says(t, "refused the credentials")
	h.users["coulee"] = users
	h.reload()
	sent(" " + strconv.Itoa(n+1))
	if got := strings.Count(f.err.String(), "refused the credentials"); got > 2 {
		t.Errorf("it was said %d times: %s", got, f.err.String())
	}
	if len(strings.Fields(journal())) == 0 {
		t.Error("the journal is empty")
	}
	if err := f.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := f.Wait(); err != nil {
		t.Error(err)
	}
}

// Credentials with an end: over before, over by the server's clock alone, and over meanwhile.
func TestShareWithCredentialsThatEnd(t *testing.T) {
	smallFarm(t)
	h := hostUsers(t)
	share, journal := h.shared("shop")
	before := journal()
	way := func(name string) []string {
		return []string{"--server", h.url(), "--farm", "coulee", "--creds", h.path(name)}
	}
	h.user("old.creds", -365*24*time.Hour)
	h.user("over.creds", -time.Hour) // this seat's clock stands before that
	h.user("good.creds", time.Hour)
	h.user("short.creds", 4*time.Second)
	for name, want := range map[string]string{"old.creds": "were good until", "over.creds": "refused the credentials"} {
		status, _, errOut := share(way(name)...)
		if status != statusFailed || !strings.Contains(errOut, want) || strings.Count(errOut, "\n") != 1 || journal() != before {
			t.Errorf("%s: status %d, %q", name, status, errOut)
		}
		t.Log(errOut)
	}
	f := h.follow("shop", way("short.creds")...)
	f.says(t, "refused the credentials")
	if status, _, errOut := share(way("good.creds")...); status != statusDone || !strings.Contains(errOut, "this computer's clock says") {
		t.Errorf("status %d, %q", status, errOut)
	} else {
		t.Log(errOut)
	}
	if journal() != before {
		t.Error("the journal is another one")
	}
}

// hostUsers is a server whose users are told by tokens that its operator signed.
func hostUsers(t *testing.T) *hosted {
	t.Helper()
	h := &hosted{t: t, dir: t.TempDir()}
	operator, _ := nkeys.CreateOperator()
	h.account, _ = nkeys.CreateAccount()
	public, _ := h.account.PublicKey()
	top, _ := operator.PublicKey()
	by, err := jwt.NewOperatorClaims(top).Encode(operator)
	if err != nil {
		t.Fatal(err)
	}
	of := jwt.NewAccountClaims(public)
	of.Limits.JetStreamLimits = jwt.JetStreamLimits{MemoryStorage: -1, DiskStorage: -1, Streams: -1, Consumer: -1}
	token, err := of.Encode(operator)
	if err != nil {
		t.Fatal(err)
	}
	system, _ := nkeys.CreateAccount()
	sys, _ := system.PublicKey()
	sysToken, err := jwt.NewAccountClaims(sys).Encode(operator)
	if err != nil {
		t.Fatal(err)
	}
	h.write("server.conf", "listen: \"127.0.0.1:-1\"\noperator: "+by+"\nsystem_account: "+sys+"\nresolver: MEMORY\nresolver_preload: { "+public+": "+token+", "+
		sys+": "+sysToken+" }\njetstream { store_dir: \""+h.path("store")+"\" }\n")
	h.start()
	return h
}

// user makes credentials that are good for so long from now.
func (h *hosted) user(name string, good time.Duration) {
	h.t.Helper()
	pair, _ := nkeys.CreateUser()
	public, _ := pair.PublicKey()
	claims := jwt.NewUserClaims(public)
	claims.Expires = time.Now().Add(good).Unix()
	token, err := claims.Encode(h.account)
	if err != nil {
		h.t.Fatal(err)
	}
	seed, _ := pair.Seed()
	text, err := jwt.FormatUserConfig(token, seed)
	if err != nil {
		h.t.Fatal(err)
	}
	h.write(name, string(text))
}
