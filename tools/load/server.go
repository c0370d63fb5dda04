package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net/http"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// login is somebody who may keep a phone.
type login struct{ name, password string }

// loadDemo writes the invented programme and returns who may sign in as an
// instructor.
func loadDemo(ctx context.Context, data string) ([]login, error) {
	out, err := exec.CommandContext(ctx, *bin, "demo", "load", data).CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("demo load: %v\n%s", err, out)
	}
	var all []login
	for _, l := range strings.Split(string(out), "\n") {
		if m := regexp.MustCompile(`^  (\S+) +(\S.*?)  +(.*instructor.*)$`).FindStringSubmatch(l); m != nil {
			all = append(all, login{m[1], m[2]})
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no instructor signs in to the demo:\n%s", out)
	}
	return all, nil
}

// server is the program as it runs.
type server struct {
	cmd   *exec.Cmd
	base  string
	watch string
}

var addresses = regexp.MustCompile(`http:[/]/127\.0\.0\.1:\d+`)

func serve(ctx context.Context, data string) (*server, error) {
	cmd := exec.Command(*bin, "serve", "--data", data, "--addr", "127.0.0.1:0", "--metrics", "127.0.0.1:0")
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	s := &server{cmd: cmd}
	sc := bufio.NewScanner(pipe)
	for s.watch == "" && sc.Scan() {
		a := addresses.FindString(sc.Text())
		switch {
		case strings.HasPrefix(sc.Text(), "Figures"):
			s.watch = a
		case s.base == "":
			s.base = a
		}
	}
	if s.watch == "" {
		s.stop()
		return nil, fmt.Errorf("the server ended before it was ready")
	}
	go func() { _, _ = io.Copy(io.Discard, pipe) }()
	return s, nil
}

// stop ends the server as an operator does.
func (s *server) stop() {
	_ = s.cmd.Process.Signal(syscall.SIGTERM)
	ended := make(chan struct{})
	go func() { _ = s.cmd.Wait(); close(ended) }()
	select {
	case <-ended:
	case <-time.After(10 * time.Second):
		_ = s.cmd.Process.Kill()
		<-ended
	}
}

// figures reads what the server says about itself.
func (s *server) figures(ctx context.Context) map[string]float64 {
	out := map[string]float64{}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, s.watch+"/metrics", nil)
	if err != nil {
		return out
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return out
	}
	defer res.Body.Close()
	for sc := bufio.NewScanner(res.Body); sc.Scan(); {
		name, value, _ := strings.Cut(sc.Text(), " ")
		if v, err := strconv.ParseFloat(value, 64); err == nil {
			out[name] = v
		}
	}
	return out
}
