package embed

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"path/filepath"
	"strconv"
	"time"

	"github.com/versity/versitygw/auth"
	"github.com/versity/versitygw/backend/meta"
	"github.com/versity/versitygw/backend/posix"
	"github.com/versity/versitygw/embedgw"
)

const (
	healthPath = "/ready-for-requests"
	startTries = 3
	stopTime   = 20 * time.Second
)

// gateway is a running S3 server over a folder.
type gateway struct {
	url    string
	cancel context.CancelFunc
	ended  chan error
}

// startGateway runs the server. It cannot say which free port it took, so one
// is chosen for it, anew when another process was quicker.
func startGateway(ctx context.Context, dir string, port int, secret string) (*gateway, error) {
	tries := startTries
	if port != 0 {
		tries = 1
	}
	var last error
	for range tries {
		p := port
		if p == 0 {
			var err error
			if p, err = freePort(); err != nil {
				return nil, fmt.Errorf("embed: store: %w", err)
			}
		}
		g, err := tryGateway(ctx, dir, p, secret)
		if err == nil {
			return g, nil
		}
		last = err
	}
	return nil, fmt.Errorf("embed: store: %w", last)
}

func tryGateway(ctx context.Context, dir string, port int, secret string) (*gateway, error) {
	root := filepath.Join(dir, "store")
	opts := posix.PosixOpts{CopyObjectThreshold: 5 << 30, ValidateBucketNames: true}
	opts.SetNewDirPerm(0o700)
	opts.SetNewFilePerm(0o600)
	var storer meta.MetadataStorer = meta.XattrMeta{}
	if (meta.XattrMeta{}).Test(root) != nil { // a file system without user attributes
		opts.SideCarDir = filepath.Join(dir, "meta")
		sidecar, err := meta.NewSideCar(opts.SideCarDir)
		if err != nil {
			return nil, err
		}
		storer = sidecar
	}
	be, err := posix.New(root, storer, opts)
	if err != nil {
		return nil, err
	}
	addr := net.JoinHostPort("127.0.0.1", strconv.Itoa(port))
	life, cancel := context.WithCancel(context.WithoutCancel(ctx))
	g := &gateway{url: "http://" + addr, cancel: cancel, ended: make(chan error, 1)}
	go func() {
		g.ended <- embedgw.RunVersityGW(life, durable{be, root}, &embedgw.Config{
			RootUserAccess: access, RootUserSecret: secret, Ports: []string{addr},
			MaxConnections: 256, MaxRequests: 128, MultipartMaxParts: 10000,
			IAMService: auth.NewIAMServiceSingle(auth.Account{Access: access, Secret: secret, Role: auth.RoleAdmin}),
			// No kept connections: the server answers a refused upload without
			// reading its body, and takes the rest of it for the next request.
			Quiet: true, KeepAlive: false, DisableACLs: true, HealthPath: healthPath,
		})
	}()
	if err := g.await(ctx); err != nil {
		cancel()
		return nil, err
	}
	return g, nil
}

// await polls until the server answers, ends, or the time is up.
func (g *gateway) await(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, readyTime)
	defer cancel()
	tr := &http.Transport{DisableKeepAlives: true}
	client := &http.Client{Transport: tr, Timeout: time.Second}
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for {
		req, err := http.NewRequestWithContext(ctx, http.MethodGet, g.url+healthPath, nil)
		if err != nil {
			return err
		}
		if resp, err := client.Do(req); err == nil {
			resp.Body.Close()
			if resp.StatusCode == http.StatusOK {
				return nil
			}
		}
		select {
		case err := <-g.ended:
			return fmt.Errorf("ended at once: %w", err)
		case <-ctx.Done():
			return errors.New("not ready in time")
		case <-tick.C:
		}
	}
}

func (g *gateway) stop() error {
	g.cancel()
	t := time.NewTimer(stopTime)
	defer t.Stop()
	select {
	case err := <-g.ended:
		if err != nil && !errors.Is(err, context.Canceled) {
			return fmt.Errorf("embed: store: %w", err)
		}
		return nil
	case <-t.C:
		return errors.New("embed: store does not stop")
	}
}

func freePort() (int, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port, nil
}
