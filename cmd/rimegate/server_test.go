//go:build !noshare

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

// hosted is a server with an account for each farm, in each two seats (ID.nk, ID-house.nk) and a reader
// (farms/ID.creds), with the rights that the shipped server.conf gives them.
type hosted struct {
	t     *testing.T
	dir   string
	farms []string
	users map[string]string // lines of users by farm
	srv   *server.Server

	limits, payload string        // of each account, and of a message
	account         nkeys.KeyPair // that signs tokens of users, if any does
}

func hostFarms(t *testing.T, farms ...string) *hosted {
	t.Helper()
	h := &hosted{t: t, dir: t.TempDir(), farms: farms, users: map[string]string{}, limits: "max_file: 1GB", payload: "2MB"}
	if err := os.Mkdir(h.path("farms"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, id := range farms {
		h.users[id] = fmt.Sprintf("{ nkey: %s, permissions: $%s_SEAT }\n{ nkey: %s, permissions: $%[2]s_READER }\n{ nkey: %[4]s, permissions: $%[2]s_SEAT }\n",
			h.key(id+".nk"), strings.ToUpper(id), h.key("farms/"+id+".creds"), h.key(id+"-house.nk"))
	}
	h.configure()
	h.start()
	return h
}

// start starts the server of the configuration.
func (h *hosted) start() {
	h.t.Helper()
	opts, err := server.ProcessConfigFile(h.path("server.conf"))
	if err != nil {
		h.t.Fatal(err)
	}
	opts.NoSigs, opts.NoLog = true, true
	if h.srv, err = server.NewServer(opts); err != nil {
		h.t.Fatal(err)
	}
	h.srv.Start()
	h.t.Cleanup(func() { h.srv.Shutdown(); h.srv.WaitForShutdown() })
	if !h.srv.ReadyForConnections(10 * time.Second) {
		h.t.Fatal("the server does not begin")
	}
}

func (h *hosted) path(name string) string { return filepath.Join(h.dir, filepath.FromSlash(name)) }

func (h *hosted) url() string { return h.srv.ClientURL() }

// key makes a user's key and returns its public half.
func (h *hosted) key(name string) string {
	h.t.Helper()
	pair, err := nkeys.CreateUser()
	if err != nil {
		h.t.Fatal(err)
	}
	seed, _ := pair.Seed()
	public, _ := pair.PublicKey()
	h.write(name, string(seed)+"\n")
	return public
}

func (h *hosted) write(name, text string) {
	h.t.Helper()
	if err := os.WriteFile(h.path(name), []byte(text), 0o600); err != nil {
		h.t.Fatal(err)
	}
}

// configure writes the configuration: the blocks of rights are those of the shipped one.
func (h *hosted) configure() {
	h.t.Helper()
	shipped, err := os.ReadFile(filepath.Join(repo, "fields", "share", "server.conf"))
	if err != nil {
		h.t.Fatal(err)
	}
	_, rights, _ := strings.Cut(string(shipped), "COULEE_SEAT = {")
	rights, _, found := strings.Cut("COULEE_SEAT = {"+rights, "BENCH_SEAT")
	if !found {
		h.t.Fatal("server.conf has no rights of coulee")
	}
	text := "listen: \"127.0.0.1:-1\"\nmax_payload: " + h.payload + "\njetstream { store_dir: \"" + filepath.ToSlash(h.path("store")) + "\" }\n"
	for _, id := range h.farms {
		text += strings.NewReplacer("COULEE", strings.ToUpper(id), "coulee", id).Replace(rights)
	}
	text += "accounts {\n"
	for _, id := range h.farms {
		text += id + " { jetstream { " + h.limits + " }, users: [\n" + h.users[id] + "] }\n"
	}
	h.write("server.conf", text+"}\n")
}

// reload makes the server read its configuration again.
func (h *hosted) reload() {
	h.t.Helper()
	h.configure()
	if err := h.srv.Reload(); err != nil {
		h.t.Fatal(err)
	}
}

// publish puts a line into a farm's stream as a seat does, or with another hash.
func (h *hosted) publish(farm, seat, text, hash string) {
	h.t.Helper()
	key, err := nats.NkeyOptionFromSeed(h.path(farm + ".nk"))
	if err != nil {
		h.t.Fatal(err)
	}
	nc, err := nats.Connect(h.url(), key)
	if err != nil {
		h.t.Fatal(err)
	}
	defer nc.Close()
	if hash == "" {
		sum := sha256.Sum256([]byte(seat + "\n" + text))
		hash = hex.EncodeToString(sum[:])
	}
	m := nats.NewMsg("rimegate." + farm)
	m.Data = []byte(text)
	m.Header = nats.Header{"Rimegate-Seat": {seat}, "Rimegate-Sha256": {hash}}
	if answer, err := nc.RequestMsg(m, 5*time.Second); err != nil || strings.Contains(string(answer.Data), "error") {
		h.t.Fatal(err, answer)
	}
}

// seat makes a farm's journal of lines of entries; share shares it.
func (h *hosted) seat(farm, name string, lines ...string) {
	h.t.Helper()
	h.write(name+".jsonl", strings.Join(lines, "\n")+"\n")
	for _, words := range [][]string{{"journal", "import", h.path(name + ".jsonl")}, {"share", "--server", h.url(), "--farm", farm, "--creds", h.path(farm + ".nk")}} {
		if status, _, errOut := invoke(h.t, append([]string{"--journal", h.path(name + ".journal")}, words...)...); status != statusDone {
			h.t.Fatalf("%s: %v: status %d, %s", name, words, status, errOut)
		}
	}
}
