package cli

import (
	"context"
	"crypto/tls"
	"fmt"
	stdlog "log"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/VictoriaMetrics/metrics"
	"golang.org/x/time/rate"
)

// Bounds of the server. They are no figures of the trade.
const (
	headerTime   = 10 * time.Second
	readTime     = time.Minute // a whole request, over a slow link
	writeTime    = 2 * time.Minute
	idleTime     = 2 * time.Minute
	shutdownTime = 5 * time.Second
	mostHeader   = 64 << 10 // bytes
	mostAtOnce   = 256      // requests under way; more are told to come again
	eachSecond   = 100      // requests from one address, on average; an office shares one
	burst        = 1000
	mostCallers  = 20_000 // addresses remembered
)

// front stands between the network and the pages: it bounds, counts and
// writes the log. It writes patterns, never addresses of pages, names,
// addresses of people or what they sent.
type front struct {
	pages    http.Handler
	log      *slog.Logger
	clock    interface{ Now() time.Time }
	proxied  bool // a server in front says where requests come from
	slots    chan struct{}
	measured *metrics.Set

	mu      sync.Mutex
	callers map[string]*rate.Limiter
}

func newFront(pages http.Handler, log *slog.Logger, clock interface{ Now() time.Time }, proxied bool) *front {
	return &front{pages: pages, log: log, clock: clock, proxied: proxied, slots: make(chan struct{}, mostAtOnce), measured: metrics.NewSet(), callers: map[string]*rate.Limiter{}}
}

// ServeHTTP implements http.Handler.
func (f *front) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	begin := f.clock.Now()
	said := &answer{ResponseWriter: w}
	if f.proxied {
		r.RemoteAddr = behind(r)
	}
	defer func() {
		if p := recover(); p != nil {
			if p != http.ErrAbortHandler {
				f.log.Error("request broke", "pattern", pattern(r), "cause", fmt.Sprint(p), "stack", string(debug.Stack()))
			}
			panic(http.ErrAbortHandler)
		}
		f.count(r, said, f.clock.Now().Sub(begin))
	}()
	switch {
	case !f.allow(r.RemoteAddr, begin):
		refuseHTTP(said, http.StatusTooManyRequests, "Too many requests came from here. Wait a few seconds and try again. Nothing was saved.")
	default:
		select {
		case f.slots <- struct{}{}:
			defer func() { <-f.slots }()
			f.pages.ServeHTTP(said, r)
		default:
			refuseHTTP(said, http.StatusServiceUnavailable, "Too much is going on at once. Wait a few seconds and try again. Nothing was saved.")
		}
	}
}

func refuseHTTP(w http.ResponseWriter, status int, sentence string) {
	w.Header().Set("Retry-After", "5")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Content-Type-Options", "nosniff")
	w.Header().Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
	http.Error(w, sentence, status)
}

// allow counts a request against its address.
func (f *front) allow(remote string, now time.Time) bool {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		host = remote
	}
	f.mu.Lock()
	l := f.callers[host]
	if l == nil {
		if len(f.callers) >= mostCallers { // a flood of addresses: memory stays bounded
			f.callers = map[string]*rate.Limiter{}
		}
		l = rate.NewLimiter(eachSecond, burst)
		f.callers[host] = l
	}
	f.mu.Unlock()
	return l.AllowN(now, 1)
}

// behind is where a request came from as the server in front says: the last
// address it added, which the one before cannot make up.
func behind(r *http.Request) string {
	all := r.Header.Values("X-Forwarded-For")
	if len(all) == 0 {
		return r.RemoteAddr
	}
	parts := strings.Split(all[len(all)-1], ",")
	a, err := netip.ParseAddr(strings.TrimSpace(parts[len(parts)-1]))
	if err != nil {
		return r.RemoteAddr
	}
	return net.JoinHostPort(a.String(), "0")
}

// answer remembers the status.
type answer struct {
	http.ResponseWriter
	status int
}

// WriteHeader implements http.ResponseWriter.
func (a *answer) WriteHeader(status int) {
	if a.status == 0 {
		a.status = status
	}
	a.ResponseWriter.WriteHeader(status)
}

// Unwrap lets the standard library reach what is below.
func (a *answer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

func pattern(r *http.Request) string {
	if r.Pattern == "" {
		return "none"
	}
	return r.Pattern
}

// count counts a request and writes one line about it.
func (f *front) count(r *http.Request, said *answer, took time.Duration) {
	if said.status == 0 {
		said.status = http.StatusOK
	}
	p := pattern(r)
	f.measured.GetOrCreateCounter(fmt.Sprintf(`firnhand_requests_total{pattern=%q,status="%d"}`, p, said.status)).Inc()
	f.measured.GetOrCreatePrometheusHistogram(`firnhand_request_seconds`).Update(took.Seconds())
	f.log.Info("request", "pattern", p, "status", said.status, "took_ms", took.Milliseconds())
}

// watch serves figures about the program and whether it is ready, on this
// machine only.
func (f *front) watch(ln net.Listener, ready func(context.Context) error, figures map[string]func() float64) *http.Server {
	for name, get := range figures {
		f.measured.GetOrCreateGauge(name, get)
	}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /metrics", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/plain; version=0.0.4; charset=utf-8")
		f.measured.WritePrometheus(w)
		metrics.WriteProcessMetrics(w)
		metrics.WriteFDMetrics(w)
	})
	mux.HandleFunc("GET /ready", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		if err := ready(r.Context()); err != nil {
			w.WriteHeader(http.StatusServiceUnavailable)
			fmt.Fprintln(w, "The records cannot be read.")
			return
		}
		fmt.Fprintln(w, "ready")
	})
	s := &http.Server{Handler: mux, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, ErrorLog: silent()}
	go func() { _ = s.Serve(ln) }()
	return s
}

// silent drops what the standard library would say about single connections:
// it names addresses of people.
func silent() *stdlog.Logger { return slog.NewLogLogger(slog.DiscardHandler, slog.LevelError) }

// certificate serves a certificate from files and reads them again when they
// were renewed.
type certificate struct {
	cert, key string
	log       *slog.Logger
	clock     interface{ Now() time.Time }

	mu      sync.Mutex
	current *tls.Certificate
	changed time.Time
	looked  time.Time
}

// lookEvery is how often the files are looked at.
const lookEvery = time.Minute

func (c *certificate) load() error {
	info, err := os.Stat(c.cert)
	if err != nil {
		return err
	}
	pair, err := tls.LoadX509KeyPair(c.cert, c.key)
	if err != nil {
		return err
	}
	c.current, c.changed = &pair, info.ModTime()
	return nil
}

// get implements tls.Config.GetCertificate. A renewed file that cannot be read
// leaves the old certificate in use.
func (c *certificate) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if now := c.clock.Now(); now.Sub(c.looked) >= lookEvery {
		c.looked = now
		if info, err := os.Stat(c.cert); err == nil && !info.ModTime().Equal(c.changed) {
			if err := c.load(); err != nil {
				c.log.Error("the renewed certificate cannot be used; the old one stays", "cause", err)
			}
		}
	}
	return c.current, nil
}

// secured wraps a listener in TLS 1.2 or newer (ASVS 5.0, 12.1.1).
func secured(ln net.Listener, cert, key string, log *slog.Logger, clock interface{ Now() time.Time }) (net.Listener, error) {
	c := &certificate{cert: cert, key: key, log: log, clock: clock}
	if err := c.load(); err != nil {
		f := refuse("certificate", "The certificate %s and its key %s cannot be used.", cert, key)
		f.cause = err
		return nil, f
	}
	return tls.NewListener(ln, &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: c.get, NextProtos: []string{"h2", "http/1.1"}}), nil
}
