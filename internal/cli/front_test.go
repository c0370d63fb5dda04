package cli

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"io"
	"log/slog"
	integers "math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"firnhand/internal/clock"
)

// selfSigned writes a certificate for localhost and returns the pool that
// trusts it.
func selfSigned(t *testing.T, dir, name string, serial int64) (cert, key string, pool *x509.CertPool) {
	t.Helper()
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	tpl := &x509.Certificate{SerialNumber: integers.NewInt(serial), Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"}, IPAddresses: []net.IP{net.ParseIP("127.0.0.1")},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour)}
	der, err := x509.CreateCertificate(rand.Reader, tpl, tpl, &k.PublicKey, k)
	if err != nil {
		t.Fatal(err)
	}
	kb, err := x509.MarshalPKCS8PrivateKey(k)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(dir, name+".pem"), filepath.Join(dir, name+".key")
	for path, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: kb}} {
		if err := os.WriteFile(path, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	pool = x509.NewCertPool()
	c, _ := x509.ParseCertificate(der)
	pool.AddCert(c)
	return cert, key, pool
}

// TestTLS (ASVS 5.0, 12.1.1 and 12.2.1): TLS 1.2 and 1.3 and nothing older, the
// cookie and the headers that belong to it, and a renewed certificate is taken
// without a restart.
func TestTLS(t *testing.T) {
	dir := t.TempDir()
	cert, key, pool := selfSigned(t, dir, "a", 1)
	s := newServer(t, regexp.MustCompile(`https://127\.0\.0\.1:\d+`), "serve", "--data", filepath.Join(dir, "r.db"), "--addr", "127.0.0.1:0", "--cert", cert, "--cert-key", key, "--origin", "https://ski.example.org")
	host := strings.TrimPrefix(s.url, "https://")
	dial := func(version uint16) error {
		c, err := tls.Dial("tcp", host, &tls.Config{RootCAs: pool, MinVersion: version, MaxVersion: version, ServerName: "localhost"})
		if err == nil {
			c.Close()
		}
		return err
	}
	for version, want := range map[uint16]bool{tls.VersionTLS10: false, tls.VersionTLS11: false, tls.VersionTLS12: true, tls.VersionTLS13: true} {
		if err := dial(version); (err == nil) != want {
			t.Errorf("%s: %v", tls.VersionName(version), err)
		}
	}
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	res, err := client.Get(s.url + "/first-run")
	if err != nil {
		t.Fatal(err)
	}
	io.Copy(io.Discard, res.Body)
	res.Body.Close()
	if res.StatusCode != http.StatusOK || res.Header.Get("Strict-Transport-Security") != "max-age=31536000" {
		t.Errorf("%d %v", res.StatusCode, res.Header)
	}
	plain, err := http.Get("http://" + host + "/first-run")
	if err == nil {
		plain.Body.Close()
		if plain.StatusCode != http.StatusBadRequest {
			t.Errorf("without TLS the answer is %d", plain.StatusCode)
		}
	}
}

// TestCertificateRenewed: a new file is taken; one that cannot be read leaves
// the old one in use.
func TestCertificateRenewed(t *testing.T) {
	dir := t.TempDir()
	cert, key, _ := selfSigned(t, dir, "a", 1)
	at := clock.At(time.Date(2027, 1, 14, 8, 0, 0, 0, time.UTC))
	c := &certificate{cert: cert, key: key, log: slog.New(slog.DiscardHandler), clock: at}
	if err := c.load(); err != nil {
		t.Fatal(err)
	}
	serial := func() int64 {
		t.Helper()
		got, err := c.get(nil)
		if err != nil {
			t.Fatal(err)
		}
		x, err := x509.ParseCertificate(got.Certificate[0])
		if err != nil {
			t.Fatal(err)
		}
		return x.SerialNumber.Int64()
	}
	if serial() != 1 {
		t.Fatal("the first")
	}
	selfSigned(t, dir, "a", 2)
	later := time.Now().Add(time.Minute)
	os.Chtimes(cert, later, later)
	if serial() != 1 {
		t.Error("the files are looked at with every connection")
	}
	at.Advance(time.Minute)
	if serial() != 2 {
		t.Error("the renewed certificate is not taken")
	}
	os.WriteFile(cert, []byte("nonsense"), 0o600)
	at.Advance(time.Minute)
	if serial() != 2 {
		t.Error("a broken file took the place of a certificate")
	}
}

// TestBehind: only the address that the server in front added itself counts.
func TestBehind(t *testing.T) {
	for _, c := range []struct {
		headers []string
		want    string
	}{
		{nil, "127.0.0.1:5000"},
		{[]string{"192.0.2.7"}, "192.0.2.7:0"},
		{[]string{"198.51.100.1, 192.0.2.7"}, "192.0.2.7:0"}, // the first is made up by the client
		{[]string{"198.51.100.1", "192.0.2.7"}, "192.0.2.7:0"},
		{[]string{"2001:db8::1"}, "[2001:db8::1]:0"},
		{[]string{"nonsense"}, "127.0.0.1:5000"},
		{[]string{""}, "127.0.0.1:5000"},
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.RemoteAddr = "127.0.0.1:5000"
		for _, h := range c.headers {
			r.Header.Add("X-Forwarded-For", h)
		}
		if got := behind(r); got != c.want {
			t.Errorf("%v: %s, want %s", c.headers, got, c.want)
		}
	}
}

// TestBounds: one address cannot take everything, and requests beyond what is
// done at once are told to come again.
func TestBounds(t *testing.T) {
	at := clock.At(time.Date(2027, 1, 14, 8, 0, 0, 0, time.UTC))
	hold := make(chan struct{})
	f := newFront(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/slow" {
			<-hold
		}
	}), slog.New(slog.DiscardHandler), at, false)
	ask := func(path, from string) int {
		r := httptest.NewRequest(http.MethodGet, path, nil)
		r.RemoteAddr = from + ":1"
		w := httptest.NewRecorder()
		f.ServeHTTP(w, r)
		return w.Code
	}
	for i := range burst {
		if code := ask("/", "192.0.2.1"); code != http.StatusOK {
			t.Fatalf("request %d gets %d", i+1, code)
		}
	}
	if code := ask("/", "192.0.2.1"); code != http.StatusTooManyRequests {
		t.Errorf("one more gets %d", code)
	}
	if code := ask("/", "192.0.2.2"); code != http.StatusOK {
		t.Errorf("another address gets %d", code)
	}
	at.Advance(time.Second)
	for i := range eachSecond {
		if code := ask("/", "192.0.2.1"); code != http.StatusOK {
			t.Fatalf("a second later request %d gets %d", i+1, code)
		}
	}
	var all sync.WaitGroup
	for i := range mostAtOnce {
		all.Go(func() { ask("/slow", fmt.Sprintf("198.51.100.%d", i%250)) })
	}
	for len(f.slots) < mostAtOnce {
		runtime.Gosched()
	}
	if code := ask("/", "192.0.2.3"); code != http.StatusServiceUnavailable {
		t.Errorf("with everything taken: %d", code)
	}
	close(hold)
	all.Wait()
	if code := ask("/", "192.0.2.3"); code != http.StatusOK {
		t.Errorf("afterwards: %d", code)
	}
	for i := range mostCallers + 100 {
		ask("/", fmt.Sprintf("10.%d.%d.%d", i>>16, i>>8&255, i&255))
	}
	if len(f.callers) > mostCallers {
		t.Errorf("%d addresses are remembered", len(f.callers))
	}
}

// TestIdleConnections (trust.md S10): 1,000 connections that say nothing cost
// less than 50 MB and others are served.
func TestIdleConnections(t *testing.T) {
	s := start(t, "serve", "--data", filepath.Join(t.TempDir(), "r.db"), "--addr", "127.0.0.1:0")
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	var idle []net.Conn
	defer func() {
		for _, c := range idle {
			c.Close()
		}
	}()
	for range 1000 {
		var d net.Dialer
		c, err := d.DialContext(context.Background(), "tcp", strings.TrimPrefix(s.url, "http://"))
		if err != nil {
			t.Fatal(err)
		}
		idle = append(idle, c)
	}
	var worst time.Duration
	for range 50 {
		begin := time.Now()
		res, err := http.Get(s.url + "/static/base.css")
		if err != nil {
			t.Fatal(err)
		}
		io.Copy(io.Discard, res.Body)
		res.Body.Close()
		worst = max(worst, time.Since(begin))
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	grown := int64(after.HeapInuse+after.StackInuse) - int64(before.HeapInuse+before.StackInuse)
	t.Logf("1,000 idle connections: %d KiB more, slowest of 50 other requests %v", grown>>10, worst)
	if grown > 50<<20 {
		t.Errorf("memory grew by %d bytes", grown)
	}
}

// TestBodyTooLarge: a form beyond the bound is refused, and nothing is read on.
func TestBodyTooLarge(t *testing.T) {
	s := start(t, "serve", "--data", filepath.Join(t.TempDir(), "r.db"), "--addr", "127.0.0.1:0")
	req, _ := http.NewRequest(http.MethodPost, s.url+"/sign-in", strings.NewReader("login="+strings.Repeat("x", 20<<20)))
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	res, err := http.DefaultClient.Do(req)
	if err == nil {
		res.Body.Close()
		if res.StatusCode < 400 || res.StatusCode >= 500 {
			t.Errorf("20 MiB get %d", res.StatusCode)
		}
	}
	if res, err := http.Get(s.url + "/first-run"); err != nil || res.StatusCode != http.StatusOK {
		t.Errorf("afterwards: %v", err)
	}
}
