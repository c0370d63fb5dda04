package main

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

// Figures of a soak. Memory is looked at after a settling time, since a new
// process takes what it needs first.
const (
	settle     = 2 * time.Minute
	mostMBHour = 1.0
	sampleEach = 10 * time.Second
)

// sample is the server at one moment.
type sample struct {
	Hours      float64 `json:"hours"`
	Heap       float64 `json:"heap_in_use_bytes"`
	Resident   float64 `json:"resident_bytes"`
	Files      float64 `json:"open_files"`
	Goroutines float64 `json:"goroutines"`
}

// slope is the least-squares slope of y over x.
func slope(s []sample, y func(sample) float64) float64 {
	var sx, sy, sxx, sxy, n float64
	for _, one := range s {
		n++
		sx += one.Hours
		sy += y(one)
		sxx += one.Hours * one.Hours
		sxy += one.Hours * y(one)
	}
	if d := n*sxx - sx*sx; d > 0 {
		return (n*sxy - sx*sy) / d
	}
	return 0
}

// part is the time between two restarts.
type part struct {
	Hours       float64 `json:"hours"`
	Samples     int     `json:"samples"`
	HeapMBHour  float64 `json:"heap_mb_per_hour"`
	ResMBHour   float64 `json:"resident_mb_per_hour"`
	FilesFirst  float64 `json:"open_files_first"`
	FilesLast   float64 `json:"open_files_last"`
	GoFirst     float64 `json:"goroutines_first"`
	GoLast      float64 `json:"goroutines_last"`
	ResidentMiB float64 `json:"resident_mib_last"`
}

// soakFor serves for hours with a light load and restarts, and watches what
// grows. The records grow; what the process holds should not.
func soakFor(ctx context.Context, data string, logins []login) (bool, error) {
	ctx, cancel := context.WithTimeout(ctx, *soak)
	defer cancel()
	rec := &record{}
	var parts []part
	begun := time.Now()
	for ctx.Err() == nil {
		p, err := soakPart(ctx, data, logins, rec, min(*restart, *soak-time.Since(begun)))
		if err != nil && ctx.Err() == nil {
			return false, err
		}
		if p.Samples > 2 {
			parts = append(parts, p)
		}
	}
	kinds, all := rec.lines()
	worst := 0.0
	steady := true
	for _, p := range parts {
		worst = max(worst, p.HeapMBHour)
		steady = steady && p.FilesLast <= p.FilesFirst+10 && p.GoLast <= p.GoFirst+20
	}
	ok := len(parts) > 0 && all.Failed == 0 && worst <= mostMBHour && steady
	if *asJSON {
		b, _ := json.MarshalIndent(map[string]any{"lasted_h": time.Since(begun).Hours(), "parts": parts, "kinds": kinds, "all": all, "ok": ok}, "", "  ")
		fmt.Println(string(b))
		return ok, nil
	}
	fmt.Printf("%v with a restart every %v; %d requests, %d failed %s, p95 %.1f ms, p99 %.1f ms\n", time.Since(begun).Round(time.Second), *restart, all.N, all.Failed, all.First, all.P95, all.P99)
	for i, p := range parts {
		fmt.Printf("part %d, %.2f h: heap %+.2f MB/h, resident %+.2f MB/h (%.0f MiB), open files %.0f to %.0f, goroutines %.0f to %.0f\n",
			i+1, p.Hours, p.HeapMBHour, p.ResMBHour, p.ResidentMiB, p.FilesFirst, p.FilesLast, p.GoFirst, p.GoLast)
	}
	return ok, nil
}

func soakPart(ctx context.Context, data string, logins []login, rec *record, lasts time.Duration) (part, error) {
	srv, err := serve(ctx, data)
	if err != nil {
		return part{}, err
	}
	defer srv.stop()
	crowd, _, err := signInAll(ctx, srv.base, logins, min(*people, 10))
	if err != nil {
		return part{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, lasts)
	defer cancel()
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for ctx.Err() == nil { // sign-ins end by themselves after a while: in anew before
			morning(ctx, crowd, rec, 20*time.Minute, min(*each, 2), 2*time.Second)
			if fresh, _, err := signInAll(ctx, srv.base, logins, len(crowd)); err == nil {
				crowd = fresh
			}
		}
	}()
	begun := time.Now()
	var all []sample
	t := time.NewTicker(sampleEach)
	defer t.Stop()
	for {
		select {
		case <-ended:
			return partOf(all), nil
		case <-t.C:
			f := srv.figures(ctx)
			if f["go_goroutines"] == 0 || time.Since(begun) < settle {
				continue
			}
			all = append(all, sample{time.Since(begun).Hours(), f["go_memstats_heap_inuse_bytes"], f["process_resident_memory_bytes"], f["process_open_fds"], f["go_goroutines"]})
		}
	}
}

func partOf(all []sample) part {
	if len(all) == 0 {
		return part{}
	}
	first, last := all[0], all[len(all)-1]
	return part{Hours: last.Hours, Samples: len(all), FilesFirst: first.Files, FilesLast: last.Files, GoFirst: first.Goroutines, GoLast: last.Goroutines,
		HeapMBHour: slope(all, func(s sample) float64 { return s.Heap }) / 1e6, ResMBHour: slope(all, func(s sample) float64 { return s.Resident }) / 1e6,
		ResidentMiB: last.Resident / (1 << 20)}
}
