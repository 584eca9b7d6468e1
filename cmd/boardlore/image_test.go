package main

import (
	"context"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// TestImage builds the image and runs the program in it, where a container
// engine answers and can have the images that it is made of.
func TestImage(t *testing.T) {
	ask, cancel := context.WithTimeout(t.Context(), 3*time.Second)
	defer cancel()
	if err := exec.CommandContext(ask, "docker", "info").Run(); err != nil {
		t.Skip("no container engine answers")
	}
	build := exec.CommandContext(t.Context(), "docker", "build", "-q", "-t", "boardlore-test", "--build-arg", "VERSION=v0-test", "-f", "deploy/Dockerfile", ".")
	build.Dir = "../.."
	if out, err := build.CombinedOutput(); err != nil {
		if s := string(out); strings.Contains(s, "pull") || strings.Contains(s, "registry") || strings.Contains(s, "resolve") {
			t.Skipf("the images that it is made of can't be had: %s", out)
		}
		t.Fatalf("%v: %s", err, out)
	}
	for args, want := range map[string]string{"--version": "v0-test", "check-data --help": "digest"} {
		out, err := exec.CommandContext(t.Context(), "docker", append([]string{"run", "--rm", "boardlore-test"}, strings.Fields(args)...)...).CombinedOutput()
		if err != nil || !strings.Contains(string(out), want) {
			t.Errorf("%s: %v: %s", args, err, out)
		}
	}
	out, err := exec.CommandContext(t.Context(), "docker", "run", "--rm", "--entrypoint", "pg_dump", "boardlore-test", "--version").CombinedOutput()
	if err != nil || !strings.Contains(string(out), "PostgreSQL") {
		t.Errorf("the image has no pg_dump for backups: %v: %s", err, out)
	}
}
