package journal

import (
	"io"
	"io/fs"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing/synctest"
	"time"
)

// memFS is a file system in memory that counts the operations that change
// something, fails the n-th of them, and knows what a power cut would leave.
type memFS struct {
	mu      sync.Mutex
	names   map[string]*memFile // what programs see
	durable map[string]*memFile // what the disk holds
	dirs    map[string]bool
	free    uint64
	locked  bool
	stall   time.Duration // how long a sync takes

	ops     int
	failAt  int  // the operation that fails, counted from 1; 0 is none
	forever bool // and all after it
	fault   error
	syncs   int          // successful syncs of files
	before  func(op int) // called before each operation, with mu held
	opening func(path string) error
}

func newMemFS() *memFS {
	return &memFS{names: map[string]*memFile{}, durable: map[string]*memFile{}, dirs: map[string]bool{}}
}

// failFrom arms the n-th operation from now.
func (m *memFS) failFrom(n int, fault error, forever bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.ops, m.failAt, m.fault, m.forever = 0, n, fault, forever
}

func (m *memFS) heal() { m.failFrom(0, nil, false) }

// healAndWait gives the writer, in simulated time, as long as it may take to be back to
// normal.
func (m *memFS) healAndWait() {
	m.heal()
	time.Sleep(10 * time.Second)
	synctest.Wait()
}

// reached tells whether the armed operation has come.
func (m *memFS) reached() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.failAt > 0 && m.ops >= m.failAt
}

// counts are the operations, and the syncs of files among them, so far.
func (m *memFS) counts() (ops, syncs int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.ops, m.syncs
}

// op counts one operation. The caller holds mu.
func (m *memFS) op() error {
	m.ops++
	if m.before != nil {
		m.before(m.ops)
	}
	if m.failAt > 0 && (m.ops == m.failAt || m.forever && m.ops > m.failAt) {
		return m.fault
	}
	return nil
}

func (m *memFS) MkdirAll(dir string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.dirs[dir] {
		return nil // nothing to write
	}
	if err := m.op(); err != nil {
		return err
	}
	m.makeDir(dir)
	return nil
}

func (m *memFS) makeDir(dir string) {
	for ; dir != "."; dir = filepath.Dir(dir) {
		m.dirs[dir] = true
	}
}

func (m *memFS) ReadDir(dir string) ([]string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, isFile := m.names[dir]; isFile {
		return nil, syscall.ENOTDIR
	}
	var names []string
	for path := range m.names {
		if rest, ok := strings.CutPrefix(path, dir+string(filepath.Separator)); ok {
			name, _, _ := strings.Cut(rest, string(filepath.Separator))
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names), nil
}

func (m *memFS) Open(path string) (File, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.opening != nil {
		if err := m.opening(path); err != nil {
			return nil, err
		}
	}
	f, ok := m.names[path]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
	}
	return &memHandle{fs: m, file: f}, nil
}

func (m *memFS) Edit(path string) (File, error) { return m.Open(path) }

func (m *memFS) Create(path string) (File, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.op(); err != nil {
		return nil, err
	}
	f := &memFile{}
	m.names[path] = f
	return &memHandle{fs: m, file: f}, nil
}

func (m *memFS) Rename(from, to string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.op(); err != nil {
		return err
	}
	m.names[to] = m.names[from]
	delete(m.names, from)
	return nil
}

func (m *memFS) Remove(path string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.op(); err != nil {
		return err
	}
	delete(m.names, path)
	return nil
}

func (m *memFS) SyncDir(dir string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := m.op(); err != nil {
		return err
	}
	for path := range m.durable {
		if filepath.Dir(path) == dir && m.names[path] == nil {
			delete(m.durable, path)
		}
	}
	for path, f := range m.names {
		if filepath.Dir(path) == dir {
			m.durable[path] = f
		}
	}
	return nil
}

func (m *memFS) Size(path string) (int64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.names[path] == nil {
		return 0, fs.ErrNotExist
	}
	return int64(len(m.names[path].data)), nil
}

func (m *memFS) Free(string) (uint64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.free, nil
}

func (m *memFS) Lock(path, _ string) (io.Closer, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.locked {
		return nil, &InUseError{Path: path}
	}
	m.locked = true
	return closer(func() { m.locked = false }), nil
}

type closer func()

func (c closer) Close() error { c(); return nil }

// put stores a file that is durable at once.
func (m *memFS) put(path string, data []byte) {
	f := &memFile{data: slices.Clone(data), synced: slices.Clone(data), dirty: len(data)}
	m.names[path], m.durable[path] = f, f
	m.makeDir(filepath.Dir(path))
}

// crash is the file system after the power failed now and came back. Names and
// blocks that were not synced are there, or not, as rng likes. The caller holds
// mu.
func (m *memFS) crash(rng *rand.Rand) *memFS {
	after := newMemFS()
	paths := map[string]bool{}
	for p := range m.names {
		paths[p] = true
	}
	for p := range m.durable {
		paths[p] = true
	}
	for _, p := range slices.Sorted(maps.Keys(paths)) {
		f := m.durable[p]
		if m.names[p] != f && rng.IntN(2) == 0 {
			f = m.names[p]
		}
		if f != nil {
			after.put(p, f.afterCrash(rng))
		}
	}
	return after
}

// cut is crash for those who do not hold mu.
func (m *memFS) cut(rng *rand.Rand) *memFS {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.crash(rng)
}
