package terminal

import (
	"os"
	"sync"
	"time"
)

// outputWait is how long a picture may hold up the program on its way to the
// terminal. A terminal that keeps up takes one in well under a millisecond.
const outputWait = 20 * time.Millisecond

// terminalOutput is the terminal that is drawn on. It differs from the file in
// that a terminal which takes nothing, or little, does not stop the
// program: what is written goes on its way by itself. The model leaves out the
// pictures that would only queue up behind it.
type Output struct {
	File    *os.File // not embedded: every way of writing has to be this one
	Drained func()   // called when all is out after behind has said true

	mu    sync.Mutex
	queue []byte
	idle  chan struct{} // closed when all is out; nil where nothing is on its way
	asked bool
	err   error
}

// Fd, Read and Close make it a terminal in bubbletea's eyes.
func (o *Output) Fd() uintptr                { return o.File.Fd() }
func (o *Output) Read(p []byte) (int, error) { return o.File.Read(p) }
func (o *Output) Close() error               { return o.File.Close() }

func (o *Output) Write(p []byte) (int, error) {
	o.mu.Lock()
	if o.err != nil {
		defer o.mu.Unlock()
		return 0, o.err
	}
	o.queue = append(o.queue, p...)
	if o.idle == nil {
		o.idle = make(chan struct{})
		go o.send(o.idle)
	}
	idle := o.idle
	o.mu.Unlock()
	WaitFor(idle, outputWait)
	return len(p), nil
}

// send writes what is queued until nothing is left.
func (o *Output) send(idle chan struct{}) {
	for {
		o.mu.Lock()
		b := o.queue
		o.queue = nil
		if len(b) == 0 {
			asked := o.asked
			o.idle, o.asked = nil, false
			close(idle)
			o.mu.Unlock()
			if asked {
				o.Drained()
			}
			return
		}
		o.mu.Unlock()
		if _, err := o.File.Write(b); err != nil {
			o.mu.Lock()
			o.err, o.queue = err, nil
			o.mu.Unlock()
		}
	}
}

// behind tells whether something is still on its way to the terminal; when that
// is out, drained is called.
func (o *Output) Behind() bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.asked = o.idle != nil
	return o.asked
}

// wait waits until all is out, but not longer than d.
func (o *Output) Wait(d time.Duration) {
	o.mu.Lock()
	idle := o.idle
	o.mu.Unlock()
	if idle != nil {
		WaitFor(idle, d)
	}
}

// waitFor waits for done, but not longer than d.
func WaitFor(done <-chan struct{}, d time.Duration) {
	late := time.NewTimer(d)
	defer late.Stop()
	select {
	case <-done:
	case <-late.C:
	}
}
