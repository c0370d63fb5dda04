package auth

import (
	"sync"
	"time"

	"firnhand/programme"
)

// Limits of guessing (trust.md U9: 10 tries in 15 minutes). The wider ones keep
// one address from trying many logins, and many addresses from trying one.
const (
	window       = 15 * time.Minute
	triesBoth    = 10 // for one login from one address
	triesAddress = 30 // from one address
	triesLogin   = 50 // for one login
	mostKeys     = 20_000
)

// limiter counts wrong tries in a sliding window. It lives in memory: a restart
// forgives, which costs a guesser more than it gives.
type limiter struct {
	mu    sync.Mutex
	wrong map[string][]time.Time
}

type limit struct {
	key  string
	most int
}

func limits(login, from string) []limit {
	return []limit{{"b\x00" + login + "\x00" + from, triesBoth}, {"a\x00" + from, triesAddress}, {"l\x00" + login, triesLogin}}
}

// take counts a try before it is looked at, and refuses it when there were too
// many. Counting first keeps tries made at the same time from slipping through.
func (l *limiter) take(now time.Time, ls []limit) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, li := range ls {
		if n := len(l.recent(li.key, now)); n >= li.most {
			wait := l.wrong[li.key][n-li.most].Add(window).Sub(now)
			return programme.Refuse(programme.CodeTooManyTries, "There were too many wrong tries. Wait %d minutes and try again.", int(wait/time.Minute)+1)
		}
	}
	if len(l.wrong) > mostKeys {
		l.clean(now)
	}
	if l.wrong == nil {
		l.wrong = map[string][]time.Time{}
	}
	for _, li := range ls {
		l.wrong[li.key] = append(l.wrong[li.key], now)
	}
	return nil
}

// forgive takes the counted try back: it was right.
func (l *limiter) forgive(ls []limit) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i, li := range ls {
		if i == 0 {
			delete(l.wrong, li.key)
		} else if n := len(l.wrong[li.key]); n > 0 {
			l.wrong[li.key] = l.wrong[li.key][:n-1]
		}
	}
}

// recent drops the tries that left the window and returns the rest.
func (l *limiter) recent(key string, now time.Time) []time.Time {
	ts := l.wrong[key]
	for len(ts) > 0 && now.Sub(ts[0]) >= window {
		ts = ts[1:]
	}
	if len(ts) == 0 {
		delete(l.wrong, key)
		return nil
	}
	l.wrong[key] = ts
	return ts
}

// clean drops every key without a recent try. When a flood of addresses leaves
// too many all the same, all are dropped: memory stays bounded.
func (l *limiter) clean(now time.Time) {
	for key := range l.wrong {
		l.recent(key, now)
	}
	if len(l.wrong) > mostKeys {
		l.wrong = map[string][]time.Time{}
	}
}
