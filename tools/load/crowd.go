package main

import (
	"bytes"
	"context"
	crand "crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"time"

	"firnhand/internal/exchange"
)

// person is somebody with a browser and a phone.
type person struct {
	http     *http.Client
	base     string
	id       string // as the exchange names them
	device   string
	secret   string
	students []string
	random   *rand.Rand
	n        int

	mu sync.Mutex // one exchange at a time
}

var studentLinks = regexp.MustCompile(`href="/students/([0-9a-f-]{36})"`)

// signInAll lets people in one after the other and gives each a phone.
func signInAll(ctx context.Context, base string, logins []login, n int) (crowd []*person, took []float64, err error) {
	for i := range n {
		jar, _ := cookiejar.New(nil)
		p := &person{http: &http.Client{Jar: jar, Timeout: 20 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: 4}}, base: base, random: rand.New(rand.NewPCG(*seed, uint64(i)))}
		l := logins[i%len(logins)]
		begin := time.Now()
		body, err := p.send(ctx, "/sign-in", url.Values{"login": {l.name}, "password": {l.password}})
		if err != nil {
			return nil, nil, fmt.Errorf("signing in as %s: %w", l.name, err)
		}
		took = append(took, float64(time.Since(begin).Microseconds())/1000)
		for _, m := range studentLinks.FindAllStringSubmatch(body, -1) {
			p.students = append(p.students, m[1])
		}
		if len(p.students) == 0 {
			return nil, nil, errors.New("the demo shows no students")
		}
		p.device = newID()
		var secret [32]byte
		crand.Read(secret[:])
		p.secret = hex.EncodeToString(secret[:])
		got, err := p.exchange(ctx, exchange.Request{Pack: true})
		if err != nil {
			return nil, nil, fmt.Errorf("the first exchange of %s: %w", l.name, err)
		}
		p.id = got.Person
		crowd = append(crowd, p)
	}
	return crowd, took, nil
}

// newID is a UUID of version 7 (RFC 9562).
func newID() string {
	var b [16]byte
	crand.Read(b[:])
	ms := uint64(time.Now().UnixMilli())
	for i := range 6 {
		b[i] = byte(ms >> (40 - 8*i))
	}
	b[6], b[8] = b[6]&0x0f|0x70, b[8]&0x3f|0x80
	h := hex.EncodeToString(b[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

func (p *person) do(ctx context.Context, method, path, kind string, body io.Reader) (string, error) {
	req, err := http.NewRequestWithContext(ctx, method, p.base+path, body)
	if err != nil {
		return "", err
	}
	if kind != "" {
		req.Header.Set("Content-Type", kind)
	}
	req.Header.Set("Origin", p.base)
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	res, err := p.http.Do(req)
	if err != nil {
		return "", err
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err == nil && res.StatusCode >= 400 {
		err = fmt.Errorf("%s answers %d", strings.SplitN(path, "/", 4)[1], res.StatusCode)
	}
	return string(b), err
}

func (p *person) send(ctx context.Context, path string, v url.Values) (string, error) {
	return p.do(ctx, http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(v.Encode()))
}

// exchange sends one request of the phone and checks that it was taken.
func (p *person) exchange(ctx context.Context, r exchange.Request) (exchange.Answer, error) {
	r.Exchange, r.Echo, r.Device, r.Secret, r.Person, r.Build, r.Now = exchange.Version, newID(), p.device, p.secret, p.id, "load", time.Now().UnixMilli()
	b, err := json.Marshal(r)
	if err != nil {
		return exchange.Answer{}, err
	}
	said, err := p.do(ctx, http.MethodPost, "/phone/exchange", "application/json", bytes.NewReader(b))
	if err != nil {
		return exchange.Answer{}, err
	}
	var a exchange.Answer
	if err := json.Unmarshal([]byte(said), &a); err != nil {
		return a, err
	}
	if a.Firnhand != exchange.Marker || a.Echo != r.Echo || a.Code != exchange.Taken {
		return a, fmt.Errorf("the exchange came to %s", a.Code)
	}
	for _, res := range a.Results {
		if res.Outcome != exchange.Created && res.Outcome != exchange.Exists {
			return a, fmt.Errorf("an item came to %s %s", res.Outcome, res.Code)
		}
	}
	if len(a.Results) != len(r.Items) {
		return a, fmt.Errorf("%d items, %d results", len(r.Items), len(a.Results))
	}
	return a, nil
}

// item is something seen on snow.
func (p *person) item() exchange.Item {
	it := exchange.Item{ID: newID(), Author: p.id, Student: p.students[p.random.IntN(len(p.students))], Kind: "snow", Version: 1,
		Payload: `{"event":"check","reason":"cold"}`, MadeAt: time.Now().Format(time.RFC3339)}
	it.Sum = exchange.SumOf(it)
	return it
}

// pages are what somebody opens in the morning; the weights are ours.
var pages = []struct {
	what   string
	path   string // %s is a student
	weight int
}{
	{"list of students", "/students", 2},
	{"30-second read", "/students/%s", 4},
	{"answer", "/students/%s/answer", 2},
	{"holds", "/students/%s/holds", 1},
	{"set-up", "/students/%s/set-up", 1},
	{"notes", "/students/%s/notes", 1},
	{"the phone's page", "/phone/", 1},
}

func (p *person) open(ctx context.Context, rec *record) {
	total := 0
	for _, one := range pages {
		total += one.weight
	}
	at := p.random.IntN(total)
	for _, one := range pages {
		if at -= one.weight; at >= 0 {
			continue
		}
		path := one.path
		if strings.Contains(path, "%s") {
			path = fmt.Sprintf(path, p.students[p.random.IntN(len(p.students))])
		}
		begin := time.Now()
		_, err := p.do(ctx, http.MethodGet, path, "", nil)
		if ctx.Err() == nil {
			rec.add(one.what, time.Since(begin), err)
		}
		return
	}
}

// morning lets everybody open pages with pauses, and phones exchange at a
// steady pace whatever the answers take: a slow server is not spared.
func morning(ctx context.Context, crowd []*person, rec *record, lasts time.Duration, perSecond float64, pause time.Duration) {
	ctx, cancel := context.WithTimeout(ctx, lasts)
	defer cancel()
	var all sync.WaitGroup
	for i, p := range crowd {
		all.Go(func() {
			wait := time.Duration(float64(pause) * float64(i) / float64(len(crowd)))
			for {
				select {
				case <-ctx.Done():
					return
				case <-time.After(wait):
				}
				p.open(ctx, rec)
				wait = time.Duration(float64(pause) * (0.5 + p.random.Float64()))
			}
		})
	}
	tick := time.NewTicker(time.Duration(float64(time.Second) / perSecond))
	defer tick.Stop()
	for i := 0; ; i++ {
		select {
		case <-ctx.Done():
			all.Wait()
			return
		case due := <-tick.C:
			p := crowd[i%len(crowd)]
			all.Go(func() {
				p.mu.Lock()
				defer p.mu.Unlock()
				r := exchange.Request{}
				what := "exchange of 3 items"
				if p.n++; p.n%10 == 0 {
					r.Pack, what = true, "exchange that asks for the day"
				} else {
					for range 3 {
						r.Items = append(r.Items, p.item())
					}
				}
				_, err := p.exchange(ctx, r)
				if ctx.Err() == nil {
					rec.add(what, time.Since(due), err)
				}
			})
		}
	}
}
