//go:build !noshare

package share

import (
	"context"
	"crypto/x509"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"rimegate/fields/journal"
)

// CheckServer reads the addresses of one server's computers, with commas between them, and
// says whether the way to them must be encrypted: everywhere but on this computer itself.
func CheckServer(server string, ca bool) (urls []string, encrypted bool, err error) {
	for s := range strings.SplitSeq(server, ",") {
		s = strings.TrimSpace(s)
		u, err := url.Parse(s)
		switch {
		case err != nil || u.Hostname() == "" || u.Scheme != "nats" && u.Scheme != "tls":
			return nil, false, fmt.Errorf("%q is no address of a server; type one like tls://share.example.org:4222", s)
		case u.User != nil:
			return nil, false, fmt.Errorf("an address holds no password: other programs see it; put credentials into a file and name it with --creds")
		case strings.Trim(u.Path, "/") != "" || u.RawQuery != "" || u.Fragment != "":
			return nil, false, fmt.Errorf("%q is more than an address of a server; type one like tls://share.example.org:4222", s)
		}
		ip := net.ParseIP(u.Hostname())
		local := u.Hostname() == "localhost" || ip != nil && ip.IsLoopback()
		if u.Scheme == "nats" && !local && !ca {
			return nil, false, fmt.Errorf("%q would send the farm's entries readable by everybody on the way; type tls:// in place of nats://", s)
		}
		encrypted = encrypted || u.Scheme == "tls" || ca || !local
		urls = append(urls, s)
	}
	return urls, encrypted, nil
}

// nothingLost closes each sentence on an exchange that failed.
const nothingLost = "; nothing is lost, and the next exchange goes on from here"

// words puts an error of the connection into a sentence; others have their own.
func (l *Link) words(err error) error {
	if err == nil {
		return nil
	}
	if denied := l.denied.Load(); denied != nil && temporary(err) {
		err = *denied
	}
	text := l.sentence(err)
	switch {
	case text == "":
		return err
	case l.reads:
		return &Error{text, err}
	}
	return &Error{text + nothingLost, err}
}

// waited reports an answer that did not come.
func waited(err error) bool {
	return errors.Is(err, context.DeadlineExceeded) || errors.Is(err, nats.ErrTimeout) || errors.Is(err, os.ErrDeadlineExceeded) ||
		errors.Is(err, jetstream.ErrAsyncPublishTimeout) || errors.Is(err, jetstream.ErrTooManyStalledMsgs)
}

// Numbers of the engine's errors, as its errors.json has them.
const (
	codeNoRoom      = 10023
	codeAccountFull = 10002
	codeStorageFull = 10047
	codeStoreFailed = 10077
	codeNoPeers     = 10005
	codeUnavailable = 10008
	codeRaftError   = 10041
	codeNoLeaderYet = 10009
	codeTooLong     = 10054
	codeNoStreams   = 10027
	codeNeedsBytes  = 10113
	codeNoLimits    = 10120
	codeTooManyByte = 10122
)

func code(err error) int {
	var api *jetstream.APIError
	var js jetstream.JetStreamError
	switch {
	case errors.As(err, &api):
		return int(api.ErrorCode)
	case errors.As(err, &js) && js.APIError() != nil:
		return int(js.APIError().ErrorCode)
	}
	return 0
}

// temporary reports an error that may be over in a moment.
func temporary(err error) bool {
	switch code(err) {
	case codeNoPeers, codeUnavailable, codeRaftError, codeNoLeaderYet:
		return true
	}
	for _, x := range []error{
		nats.ErrNoResponders, jetstream.ErrNoStreamResponse, nats.ErrDisconnected, nats.ErrConnectionClosed, nats.ErrConnectionReconnecting,
		nats.ErrStaleConnection, jetstream.ErrMsgIteratorClosed, jetstream.ErrNoHeartbeat, jetstream.ErrServerShutdown,
		jetstream.ErrConnectionClosed, nats.ErrReconnectBufExceeded, journal.ErrLocked, jetstream.ErrConsumerNotFound, jetstream.ErrConsumerDeleted,
	} {
		if errors.Is(err, x) {
			return true
		}
	}
	return waited(err)
}

// Unreached reports an error that is the server's or of the way to it, and not one farm's.
func Unreached(err error) bool {
	var dns *net.DNSError
	var no *net.OpError
	return temporary(err) || errors.Is(err, nats.ErrNoServers) || errors.As(err, &dns) || errors.As(err, &no)
}

func (l *Link) sentence(err error) string {
	is := func(targets ...error) bool {
		return slices.ContainsFunc(targets, func(t error) bool { return errors.Is(err, t) })
	}
	server := fmt.Sprintf("%q", l.Settings.Server)
	switch {
	case is(journal.ErrLocked, journal.ErrMissing):
		return ""
	case is(jetstream.ErrStreamNotFound):
		return fmt.Sprintf("the server %s has no stream of the farm %s: none of its seats ever shared", server, l.Farm)
	case is(nats.ErrPermissionViolation):
		return fmt.Sprintf("the credentials in %q have no right to the farm %s at the server %s; check --farm, or ask whoever hosts it",
			l.Creds, l.Farm, server)
	case is(nats.ErrAuthExpired, nats.ErrAccountAuthExpired):
		return fmt.Sprintf("the credentials in %q are over; ask whoever hosts the server %s for new ones", l.Creds, server)
	case is(nats.ErrAuthorization, nats.ErrAuthRevoked) && l.Creds == "":
		return "the server " + server + " asks for credentials; name the file of this seat's with --creds"
	case is(nats.ErrAuthorization, nats.ErrAuthRevoked):
		return fmt.Sprintf("the server %s refused the credentials in %q: they are wrong, over or taken back; "+
			"ask whoever hosts it for new ones", server, l.Creds)
	case is(nats.ErrSecureConnWanted):
		return "the server " + server + " encrypts nothing, so nothing was sent to it; ask whoever hosts it"
	case is(nats.ErrSecureConnRequired):
		return "the server " + server + " speaks encrypted only; type tls:// in place of nats://"
	}
	switch code(err) {
	case codeNoRoom, codeAccountFull, codeStorageFull, codeStoreFailed:
		return fmt.Sprintf("the stream of the farm %s has no room left at the server %s, so it takes nothing more; tell whoever hosts it. "+
			"What it did not take stays in this journal", l.Farm, server)
	case codeNoStreams, codeNeedsBytes, codeNoLimits, codeTooManyByte:
		return fmt.Sprintf("the server %s lets no stream of the farm %s begin (%v); check --farm, or ask whoever hosts it",
			server, l.Farm, err)
	case int(jetstream.JSErrCodeJetStreamNotEnabled), int(jetstream.JSErrCodeJetStreamNotEnabledForAccount):
		return "the server " + server + " keeps no streams; tell whoever hosts it (jetstream must be on)"
	}
	if text := l.unreached(err, server); text != "" {
		return text
	}
	if temporary(err) {
		return "the server " + server + " is reached, but only half: what was asked or sent is not answered " +
			"(a poor network, or too few of its computers are up)"
	}
	if code(err) != 0 || strings.HasPrefix(err.Error(), "nats:") || strings.HasPrefix(err.Error(), "read tcp") {
		return fmt.Sprintf("the server %s answers what this program does not expect (%v)", server, err)
	}
	return ""
}

// unreached is the sentence on a server that could not be reached, or shows a certificate
// that is not good.
func (l *Link) unreached(err error, server string) string {
	var unknown x509.UnknownAuthorityError
	var invalid x509.CertificateInvalidError
	var host x509.HostnameError
	var dns *net.DNSError
	var no *net.OpError
	switch {
	case errors.As(err, &unknown):
		return "the certificate of the server " + server + " is of nobody this computer trusts; name the hoster's own with --tls-ca FILE"
	case errors.As(err, &invalid) && invalid.Reason == x509.Expired:
		return fmt.Sprintf("by this computer's clock (%s) the certificate of the server %s is not good now: "+
			"set the clock right, or tell whoever hosts it", l.Clock().Format("Mon 2 Jan 2006 15:04"), server)
	case errors.As(err, &host):
		return "the server " + server + " shows the certificate of another one; check the address"
	case errors.As(err, &dns):
		return "no server is known by the name in " + server + "; check the address and this computer's network"
	case errors.Is(err, nats.ErrNoServers) || errors.As(err, &no):
		return "no server answers at " + server + "; check the address and this computer's network"
	}
	return ""
}

// expiry is when a user's token ends, the zero time if it says none.
func expiry(creds string) time.Time {
	_, rest, _ := strings.Cut(creds, "\n")
	token, _, _ := strings.Cut(rest, "\n")
	parts := strings.Split(strings.TrimSpace(token), ".")
	if len(parts) != 3 {
		return time.Time{}
	}
	text, err := base64.RawURLEncoding.DecodeString(parts[1])
	var claims struct {
		Expires int64 `json:"exp"`
	}
	if err != nil || json.Unmarshal(text, &claims) != nil || claims.Expires == 0 {
		return time.Time{}
	}
	return time.Unix(claims.Expires, 0)
}
