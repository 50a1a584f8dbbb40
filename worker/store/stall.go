package store

import (
	"context"
	"net"
	"time"
)

// stallConn fails a read or write that moves no byte for the time of stall. A
// total timeout would have to fit the largest clip on the slowest line; this
// fits both.
type stallConn struct {
	net.Conn
	stall time.Duration
}

func stallDialer(stall time.Duration) func(context.Context, string, string) (net.Conn, error) {
	d := net.Dialer{Timeout: 10 * time.Second, KeepAlive: 15 * time.Second}
	return func(ctx context.Context, network, addr string) (net.Conn, error) {
		c, err := d.DialContext(ctx, network, addr)
		if err != nil {
			return nil, err
		}
		return &stallConn{Conn: c, stall: stall}, nil
	}
}

// Read and Write move both deadlines: while a long body goes out, the client
// is already waiting in Read for the answer.
func (c *stallConn) Read(p []byte) (int, error) {
	if err := c.SetDeadline(time.Now().Add(c.stall)); err != nil {
		return 0, err
	}
	return c.Conn.Read(p)
}

func (c *stallConn) Write(p []byte) (int, error) {
	if err := c.SetDeadline(time.Now().Add(c.stall)); err != nil {
		return 0, err
	}
	return c.Conn.Write(p)
}
