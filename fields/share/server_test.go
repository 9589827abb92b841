//go:build !noshare

package share

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nkeys"
)

// serverVariable makes this test program a server of the configuration it names, in a
// process of its own: it can be killed, and stopped as a network that is cut stops it.
const serverVariable = "SHARE_TEST_CONFIG"

func TestMain(m *testing.M) {
	config := os.Getenv(serverVariable)
	if config == "" {
		os.Exit(m.Run())
	}
	opts, err := server.ProcessConfigFile(config)
	if err == nil {
		opts.NoSigs = true
		opts.LogFile = os.Getenv("SHARE_STORE") + ".log"
		var s *server.Server
		if s, err = server.NewServer(opts); err == nil {
			s.ConfigureLogger()
			s.Start()
			s.WaitForShutdown()
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// host is who hosts servers, with a certificate and everybody's keys.
type host struct {
	t       *testing.T
	dir     string
	env     []string
	servers []*testServer
}

// users are the names that server.conf gives to seats, and whose they are.
var users = []string{"COULEE_SHOP", "COULEE_HOUSE", "COULEE_READER", "BENCH_SHOP"}

func newHost(t *testing.T) *host {
	t.Helper()
	h := &host{t: t, dir: t.TempDir()}
	h.certify()
	for _, u := range append(users, "NOBODY") {
		pair, err := nkeys.CreateUser()
		if err != nil {
			t.Fatal(err)
		}
		seed, _ := pair.Seed()
		public, _ := pair.PublicKey()
		h.write(u+".nk", append(seed, '\n'))
		h.env = append(h.env, "SHARE_"+u+"="+public)
	}
	return h
}

func (h *host) path(name string) string { return filepath.Join(h.dir, name) }

func (h *host) write(name string, text []byte) {
	h.t.Helper()
	if err := os.WriteFile(h.path(name), text, 0o600); err != nil {
		h.t.Fatal(err)
	}
}

// certify makes a certificate that signs itself, of this computer.
func (h *host) certify() {
	h.t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		h.t.Fatal(err)
	}
	c := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "share"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().AddDate(1, 0, 0),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth, x509.ExtKeyUsageClientAuth},
	}
	text, err := x509.CreateCertificate(rand.Reader, c, c, key.Public(), key)
	if err != nil {
		h.t.Fatal(err)
	}
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		h.t.Fatal(err)
	}
	h.write("cert.pem", pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: text}))
	h.write("key.pem", pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private}))
	h.env = append(h.env, "SHARE_CERT="+h.path("cert.pem"), "SHARE_KEY="+h.path("key.pem"), "SHARE_CA="+h.path("cert.pem"))
}

// testServer is one server in a process of its own.
type testServer struct {
	h      *host
	name   string
	config string
	env    []string
	port   int
	cmd    *exec.Cmd
}

// serve starts a server as SERVER.md says.
func (h *host) serve() *testServer {
	h.t.Helper()
	s := &testServer{h: h, name: "a", config: "server.conf", port: freePort(h.t)}
	h.servers = append(h.servers, s)
	s.start()
	s.wait()
	return s
}

// cluster starts three servers that stand in for one another.
func (h *host) cluster() {
	h.t.Helper()
	var routes []string
	var ports []int
	for _, n := range []string{"A", "B", "C"} {
		ports = append(ports, freePort(h.t))
		routes = append(routes, fmt.Sprintf("SHARE_ROUTE_%s=tls://127.0.0.1:%d", n, ports[len(ports)-1]))
	}
	for i, n := range []string{"a", "b", "c"} {
		s := &testServer{h: h, name: n, config: "cluster.conf", port: freePort(h.t)}
		s.env = append(routes[:len(routes):len(routes)], fmt.Sprintf("SHARE_ROUTES=127.0.0.1:%d", ports[i]))
		h.servers = append(h.servers, s)
		s.start()
	}
	for _, s := range h.servers {
		s.wait()
	}
}

func (s *testServer) start() {
	t := s.h.t
	t.Helper()
	config, err := filepath.Abs(s.config)
	if err != nil {
		t.Fatal(err)
	}
	s.cmd = exec.Command(os.Args[0])
	s.cmd.Env = append(append(append(os.Environ(), s.h.env...), s.env...), serverVariable+"="+config, "GOMAXPROCS=2",
		"SHARE_NAME="+s.name, fmt.Sprintf("SHARE_LISTEN=127.0.0.1:%d", s.port), "SHARE_STORE="+s.h.path("store-"+s.name))
	s.cmd.Stderr = os.Stderr
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	cmd := s.cmd
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
}

// wait waits until the server takes connections.
func (s *testServer) wait() {
	s.h.t.Helper()
	for range 200 {
		c, err := net.DialTimeout("tcp", fmt.Sprintf("127.0.0.1:%d", s.port), time.Second)
		if err == nil {
			c.Close()
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	log, _ := os.ReadFile(s.h.path("store-" + s.name + ".log"))
	s.h.t.Fatalf("the server %s does not begin:\n%s", s.name, log)
}

// kill ends a server as a power cut does.
func (s *testServer) kill() { _ = s.cmd.Process.Kill(); _ = s.cmd.Wait() }

// url is where seats find the servers.
func (h *host) url() string {
	var all []string
	for _, s := range h.servers {
		all = append(all, fmt.Sprintf("tls://127.0.0.1:%d", s.port))
	}
	return strings.Join(all, ",")
}

// freePort is a port that nobody listens on now.
func freePort(t *testing.T) int {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}
