package kit

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
)

// solver finds GLPK's program. Without it the test is skipped, loudly, unless
// BOARDLORE_TEST_REQUIRE asks for it.
func solver(t *testing.T) string {
	path, err := exec.LookPath("glpsol")
	if err == nil {
		return path
	}
	if strings.Contains(os.Getenv("BOARDLORE_TEST_REQUIRE"), "glpk") {
		t.Fatal("glpsol is required and not installed: apt-get install glpk-utils")
	}
	t.Skip("glpsol is not installed: apt-get install glpk-utils")
	return ""
}

// linear writes the problem as a linear programme: each filled position earns
// more than all penalties together can cost.
func (m matrix) linear() []byte {
	var b bytes.Buffer
	earns := m.earns()
	byLine := make([][]string, len(m.quantity))
	b.WriteString("Maximize\n filled: 0 nothing\n")
	var rows []string
	for p, row := range m.cost {
		var terms []string
		for l, c := range row {
			if c < 0 {
				continue
			}
			v := fmt.Sprintf("x%d_%d", p, l)
			fmt.Fprintf(&b, " + %d %s\n", earns-int64(c), v)
			terms, byLine[l] = append(terms, v), append(byLine[l], v)
		}
		if terms != nil {
			rows = append(rows, fmt.Sprintf(" p%d: %s <= 1\n", p, strings.Join(terms, "\n + ")))
		}
	}
	b.WriteString("Subject To\n none: nothing <= 0\n" + strings.Join(rows, ""))
	for l, terms := range byLine {
		if terms != nil {
			fmt.Fprintf(&b, " l%d: %s <= %d\n", l, strings.Join(terms, "\n + "), m.quantity[l])
		}
	}
	b.WriteString("End\n")
	return b.Bytes()
}

// outside gives GLPK's optimum: positions filled and penalty.
func (m matrix) outside(t *testing.T, program, dir string) (filled int, penalty int64) {
	in, out := filepath.Join(dir, "problem.lp"), filepath.Join(dir, "solution.txt")
	if err := os.WriteFile(in, m.linear(), 0o600); err != nil {
		t.Fatal(err)
	}
	if log, err := exec.Command(program, "--lp", in, "--write", out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, log)
	}
	f, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		var rows, columns int
		var primal, dual string
		var best float64
		if n, _ := fmt.Sscanf(s.Text(), "s bas %d %d %s %s %g", &rows, &columns, &primal, &dual, &best); n != 5 {
			continue
		}
		if primal != "f" || dual != "f" || best != math.Trunc(best) {
			t.Fatalf("no optimum: %s", s.Text())
		}
		earns := m.earns()
		filled = int((int64(best) + earns - 1) / earns)
		return filled, int64(filled)*earns - int64(best)
	}
	t.Fatal("GLPK wrote no solution")
	return 0, 0
}

// earns is what a filled position is worth.
func (m matrix) earns() int64 {
	most := int64(1)
	for _, row := range m.cost {
		for _, c := range row {
			most = max(most, int64(c))
		}
	}
	return most*int64(len(m.cost)) + 1
}

// GLPK is another hand's linear programming solver (Debian: glpk-utils): the
// placing has to reach its optimum, on problems and on whole reports.
func TestAgainstGLPK(t *testing.T) {
	program, dir := solver(t), t.TempDir()
	rng := rand.New(rand.NewPCG(7, 8))
	for i := range 300 {
		positions, lines := 1+rng.IntN(40), 1+rng.IntN(12)
		switch {
		case i%50 == 49:
			positions, lines = 400, 60
		case i%10 == 9:
			positions, lines = 40+rng.IntN(80), 10+rng.IntN(20)
		}
		m := random(rng, positions, lines, 2+2*positions/lines)
		filled, penalty := m.score(t, m.solve())
		if f, c := m.outside(t, program, dir); f != filled || c != penalty {
			t.Fatalf("problem %d, %d × %d: filled %d at %d, GLPK %d at %d", i, positions, lines, filled, penalty, f, c)
		}
	}
	maps := rapid.Custom(func(t *rapid.T) *board.Map { return capacitors(t, 40) })
	kits := rapid.Custom(func(t *rapid.T) *Kit { return drawKit(t, 15, true) })
	for i := range 60 {
		r := reconcile(t, Request{Map: maps.Example(i), Kit: kits.Example(i), Pairs: true})
		holdPasses(t, &r, func(m matrix) (int, int64) { return m.outside(t, program, dir) })
	}
}
