package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/signal"
	"path/filepath"
	"sync"
	"syscall"
	"time"

	"firnhand/demo"
	"firnhand/internal/clock"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// serveCmd serves the pages.
type serveCmd struct {
	Data     string `default:"firnhand.db" placeholder:"FILE" help:"File that holds the records; it is made when there is none."`
	Keys     string `placeholder:"FILE" help:"File that holds the keys to the students' text; without it FILE.keys beside the records."`
	Addr     string `default:"127.0.0.1:8737" placeholder:"HOST:PORT" help:"Address to listen on; without a certificate loopback only. Port 0 takes a free one."`
	Cert     string `placeholder:"FILE" help:"Certificate for TLS, in PEM with its chain; read again when it is renewed."`
	CertKey  string `placeholder:"FILE" help:"Its key, in PEM."`
	Proxied  bool   `help:"A server in front does the TLS, and says in X-Forwarded-For where requests come from."`
	Origin   string `placeholder:"URL" help:"Address that browsers use and passkeys belong to, such as https://example.org"`
	Metrics  string `placeholder:"HOST:PORT" help:"Also serve figures about the program under /metrics and /ready there; loopback only."`
	LogLevel string `enum:"info,warn,error" default:"warn" help:"What is written to standard error: info is one line for each request."`
	LogJSON  bool   `name:"log-json" help:"Write the log as JSON, one object a line."`
}

const exampleOrigin = "https://example.org"

// check refuses flags that do not go together.
func (c *serveCmd) check() error {
	switch {
	case (c.Cert == "") != (c.CertKey == ""):
		return refuse("usage", "A certificate and its key are given together.")
	case c.Cert != "" && c.Proxied:
		return refuse("usage", "Either this program does the TLS (--cert) or the server in front (--proxied).")
	case c.Origin != "":
		u, err := url.Parse(c.Origin)
		if err != nil || u.Host == "" || u.Path != "" || u.Scheme != "https" && u.Scheme != "http" {
			return refuse("usage", "%q is not the address of a site: write it like %s.", c.Origin, exampleOrigin)
		}
		if u.Scheme != "https" && (c.Cert != "" || c.Proxied) {
			return refuse("usage", "The address that browsers use begins with https.")
		}
	case c.Proxied:
		return refuse("usage", "With a server in front, say which address browsers use: --origin %s.", exampleOrigin)
	}
	return nil
}

// listen takes the address, with TLS when there is a certificate.
func (c *serveCmd) listen(log *slog.Logger, clock programme.Clock) (net.Listener, error) {
	if c.Cert == "" {
		return listen(c.Addr)
	}
	if _, _, err := net.SplitHostPort(c.Addr); err != nil {
		return nil, refuse("usage", "%q is not an address: write it as 0.0.0.0:443.", c.Addr)
	}
	ln, err := take(c.Addr)
	if err != nil {
		return nil, err
	}
	safe, err := secured(ln, c.Cert, c.CertKey, log, clock)
	if err != nil {
		return nil, errors.Join(err, ln.Close())
	}
	return safe, nil
}

// Run serves until the process is told to end.
func (c *serveCmd) Run(a *app) error {
	if err := c.check(); err != nil {
		return err
	}
	log := a.logAt(c.LogLevel, c.LogJSON)
	ln, err := c.listen(log, a.Clock)
	if err != nil {
		return err
	}
	defer ln.Close()
	var watch net.Listener
	if c.Metrics != "" {
		if watch, err = listen(c.Metrics); err != nil {
			return err
		}
		defer watch.Close()
	}
	ctx, stop := a.until()
	defer stop()
	h, err := openHouse(ctx, files{c.Data, c.Keys}, a.Clock, a.Clock, rand.Reader, time.Local, log)
	if err != nil {
		return err
	}
	release, err := holdServing(c.Data)
	if err != nil {
		return errors.Join(err, h.Close())
	}
	defer release()
	h.secure = c.Cert != "" || c.Proxied
	scheme := "http"
	if c.Cert != "" {
		scheme = "https"
	}
	h.desk.Addresses = loopbackOrigins(scheme, ln.Addr())
	if c.Origin != "" {
		h.desk.Addresses = append(h.desk.Addresses, c.Origin)
	}
	code, ends, needed, err := h.desk.FirstCode(ctx)
	if err != nil {
		return errors.Join(err, h.Close())
	}
	fmt.Fprintf(a.Out, "Firnhand %s serves %s on %s://%s (Ctrl-C ends it)\n", a.Version, c.Data, scheme, ln.Addr())
	if needed {
		fmt.Fprintf(a.Out, "Nobody leads this programme yet. Open %s://%s/first-run\nand use this code, good once and until %s: %s\n", scheme, ln.Addr(),
			ends.In(time.Local).Format("2 Jan 15:04"), code)
	}
	f := newFront(h.pages(time.Local, log, a.Version), log, a.Clock, c.Proxied)
	if watch != nil {
		ready := func(ctx context.Context) error { _, err := h.store.Counts(ctx); return err }
		figures := map[string]func() float64{"firnhand_facts": func() float64 {
			n, err := h.store.Counts(context.Background())
			if err != nil {
				return -1
			}
			return float64(n.Facts)
		}}
		defer f.watch(watch, ready, figures).Close()
		fmt.Fprintf(a.Out, "Figures about the program: http://%s/metrics\n", watch.Addr())
	}
	return errors.Join(serve(ctx, ln, f), h.Close())
}

// listen takes a loopback address. Anything else wants encryption.
func listen(addr string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, refuse("usage", "%q is not an address: write it as 127.0.0.1:8737.", addr)
	}
	ip := net.ParseIP(host)
	if host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, refuse("usage", "Without a certificate the pages are served on this machine only (127.0.0.1). Give --cert and --cert-key, or let a server in front do the TLS.")
	}
	return take(addr)
}

func take(addr string) (net.Listener, error) {
	ln, err := net.Listen("tcp", addr)
	if err != nil {
		f := refuse("address", "The address %s is not free, or may not be used. Is Firnhand running already?", addr)
		f.cause = err
		return nil, f
	}
	return ln, nil
}

// loopbackOrigins are the addresses of a listener on this machine by which a
// browser takes passkeys: by name, not by number.
func loopbackOrigins(scheme string, a net.Addr) []string {
	_, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return nil
	}
	return []string{scheme + "://localhost:" + port}
}

// serve answers requests until ctx ends, and then finishes those under way.
func serve(ctx context.Context, ln net.Listener, pages http.Handler) error {
	s := &http.Server{Handler: pages, ReadHeaderTimeout: headerTime, ReadTimeout: readTime, WriteTimeout: writeTime, IdleTimeout: idleTime, MaxHeaderBytes: mostHeader, ErrorLog: silent()}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ln) }()
	select {
	case err := <-ended:
		return internal(err, "The server stopped by itself.")
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTime)
	defer cancel()
	if err := s.Shutdown(end); err != nil {
		return internal(err, "Not every request could be finished before the server ended.")
	}
	return nil
}

// until returns a context that ends when the process is told to.
func (a *app) until() (context.Context, context.CancelFunc) {
	if a.Context != nil {
		return context.WithCancel(a.Context)
	}
	return signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
}

// log writes causes of errors to standard error.
func (a *app) log() *slog.Logger { return a.logAt("warn", false) }

// logAt writes a log from a level on, as text or as JSON.
func (a *app) logAt(level string, asJSON bool) *slog.Logger {
	o := &slog.HandlerOptions{Level: map[string]slog.Level{"info": slog.LevelInfo, "warn": slog.LevelWarn, "error": slog.LevelError}[level]}
	if asJSON {
		return slog.New(slog.NewJSONHandler(a.Err, o))
	}
	return slog.New(slog.NewTextHandler(a.Err, o))
}

// demoCmd is about the invented programme.
type demoCmd struct {
	Serve demoServeCmd `cmd:"" help:"Serve an invented programme; nothing of it stays."`
	Load  demoLoadCmd  `cmd:"" help:"Write the invented programme into a new file of records."`
}

type demoServeCmd struct {
	Addr string `default:"127.0.0.1:8737" placeholder:"HOST:PORT" help:"Address to listen on; loopback only. Port 0 takes a free one."`
}

// moving is a clock that stands where the demo wants it and then runs on as
// the machine's clock does.
type moving struct {
	mu    sync.Mutex
	base  programme.Clock
	ahead time.Duration
}

func movingTo(base programme.Clock, t time.Time) *moving {
	return &moving{base: base, ahead: t.Sub(base.Now())}
}

// Now implements programme.Clock.
func (m *moving) Now() time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.base.Now().Add(m.ahead)
}

// Run makes the demo in a folder of its own, serves it, and removes it.
func (c *demoServeCmd) Run(a *app) error {
	p, err := demo.Read()
	if err != nil {
		return internal(err, "The demo's files cannot be read.")
	}
	ln, err := listen(c.Addr)
	if err != nil {
		return err
	}
	defer ln.Close()
	dir, err := os.MkdirTemp("", "firnhand-demo-")
	if err != nil {
		return internal(err, "No folder could be made for the demo.")
	}
	defer os.RemoveAll(dir)
	ctx, stop := a.until()
	defer stop()
	path := files{data: filepath.Join(dir, "demo.db")}
	if _, err := loadDemo(ctx, path, a.Clock, p, a.log()); err != nil {
		return err
	}
	log := a.log()
	h, err := openHouse(ctx, path, movingTo(a.Clock, p.Today), a.Clock, rand.Reader, p.Zone, log)
	if err != nil {
		return err
	}
	h.desk.Addresses = loopbackOrigins("http", ln.Addr())
	fmt.Fprintf(a.Out, "%s, an invented programme, on http://%s (Ctrl-C ends it; nothing stays)\n", p.Name, ln.Addr())
	fmt.Fprintf(a.Out, "It is %s there. Sign in as one of these:\n", p.Today.In(p.Zone).Format("Monday 2 January 2006, 15:04"))
	printSignIns(a, p)
	return errors.Join(serve(ctx, ln, newFront(h.pages(p.Zone, log, a.Version), log, a.Clock, false)), h.Close())
}

func printSignIns(a *app, p *demo.Programme) {
	for _, s := range p.Staff {
		if s.Ended || s.Login == "" {
			continue
		}
		roles := ""
		for i, r := range s.Roles {
			if i > 0 {
				roles += ", "
			}
			roles += r.Label()
		}
		fmt.Fprintf(a.Out, "  %-10s %-28s %s\n", s.Login, s.Password, roles)
	}
}

// loadDemo writes the invented season into a file and gives its staff their
// sign-ins.
func loadDemo(ctx context.Context, path files, wall programme.Clock, p *demo.Programme, log *slog.Logger) (demo.Report, error) {
	at := clock.At(p.Today)
	h, err := openHouse(ctx, path, at, wall, demo.NewRandom(), p.Zone, log)
	if err != nil {
		return demo.Report{}, err
	}
	rep, err := demo.Load(ctx, h.cases, at)
	if err == nil {
		err = h.signIns(ctx, p)
	}
	return rep, errors.Join(err, h.Close())
}

// signIns gives every member of the demo's staff the login and password that
// the demo shows; whoever has one keeps it.
func (h *house) signIns(ctx context.Context, p *demo.Programme) error {
	for _, s := range p.Staff {
		if s.Ended || s.Login == "" {
			continue
		}
		had, err := h.store.CredentialsOf(ctx, s.ID)
		if err != nil {
			return err
		}
		if len(had) > 0 {
			continue
		}
		code, _, err := h.desk.Invite(ctx, steward, s.ID)
		if programme.CodeOf(err) == programme.CodeNotFound {
			continue // not on the staff yet, on the demo's day
		}
		if err != nil {
			return err
		}
		t, err := door{h.desk}.Join(ctx, code, page.Person{Name: s.NameUsed, Login: s.Login, Password: s.Password}, "the demo", "this machine")
		if err != nil {
			return err
		}
		if err := h.desk.Leave(ctx, t.Token); err != nil {
			return err
		}
	}
	return nil
}

type demoLoadCmd struct {
	Data string `arg:"" help:"New file for the records."`
	JSON bool   `name:"json" help:"As JSON."`
}

// Run writes the demo into a file.
func (c *demoLoadCmd) Run(a *app) error {
	p, err := demo.Read()
	if err != nil {
		return internal(err, "The demo's files cannot be read.")
	}
	ctx, stop := a.until()
	defer stop()
	rep, err := loadDemo(ctx, files{data: c.Data}, a.Clock, p, a.log())
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(map[string]any{"file": c.Data, "created": rep.Created, "exists": rep.Exists, "later": rep.Later})
	}
	fmt.Fprintf(a.Out, "%s: %d facts written to %s, %d were there already.\n", p.Name, rep.Created, c.Data, rep.Exists)
	printSignIns(a, p)
	return nil
}
