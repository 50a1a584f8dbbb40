package settings

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/store"

	"github.com/goccy/go-yaml"
	"github.com/spf13/pflag"
)

// ErrUsage means: a setting is missing or malformed. Normal on a command line.
var ErrUsage = errors.New("settings")

// Settings say where the services are.
type Settings struct {
	QueueURL        string `yaml:"queue"`
	QueueSeedFile   string `yaml:"queue_seed_file"`
	QueueCredsFile  string `yaml:"queue_creds_file"`
	QueueCAFile     string `yaml:"queue_ca_file"`
	QueueInbox      string `yaml:"queue_inbox"`
	StoreURL        string `yaml:"store"`
	StoreAccess     string `yaml:"store_access"`
	StoreSecretFile string `yaml:"store_secret_file"`
	StoreCAFile     string `yaml:"store_ca_file"`
	StoreRegion     string `yaml:"store_region"`
	Bucket          string `yaml:"bucket"` // Defaults to ashline.
}

// DefaultBucket holds clips and results.
const DefaultBucket = "ashline"

// setting ties one field to its flag, variable and help.
type setting struct {
	flag, env, help string
	field           func(*Settings) *string
}

var table = []setting{
	{"queue", "ASHLINE_QUEUE_URL", "queue's URL, such as nats://127.0.0.1:4222", func(s *Settings) *string { return &s.QueueURL }},
	{"queue-seed-file", "ASHLINE_QUEUE_SEED_FILE", "file with the queue account's nkey seed", func(s *Settings) *string { return &s.QueueSeedFile }},
	{"queue-creds-file", "ASHLINE_QUEUE_CREDS_FILE", "file with the queue account's credentials", func(s *Settings) *string { return &s.QueueCredsFile }},
	{"queue-ca-file", "ASHLINE_QUEUE_CA_FILE", "file with the certificates that vouch for the queue, PEM (default the system's)", func(s *Settings) *string { return &s.QueueCAFile }},
	{"queue-inbox", "ASHLINE_QUEUE_INBOX", "prefix of the subjects for answers that the queue's account may hear (default _INBOX)", func(s *Settings) *string { return &s.QueueInbox }},
	{"store", "ASHLINE_STORE_URL", "store's URL, such as http://127.0.0.1:7070", func(s *Settings) *string { return &s.StoreURL }},
	{"store-access", "ASHLINE_STORE_ACCESS", "access key id of the store's account", func(s *Settings) *string { return &s.StoreAccess }},
	{"store-secret-file", "ASHLINE_STORE_SECRET_FILE", "file with the secret of the store's account", func(s *Settings) *string { return &s.StoreSecretFile }},
	{"store-ca-file", "ASHLINE_STORE_CA_FILE", "file with the certificates that vouch for the store, PEM (default the system's)", func(s *Settings) *string { return &s.StoreCAFile }},
	{"store-region", "ASHLINE_STORE_REGION", "store's region (default us-east-1)", func(s *Settings) *string { return &s.StoreRegion }},
	{"bucket", "ASHLINE_BUCKET", "bucket for clips and results (default " + DefaultBucket + ")", func(s *Settings) *string { return &s.Bucket }},
}

// Flags are the settings' flags of one command.
type Flags struct {
	values Settings
	config string
	set    *pflag.FlagSet
}

// Bind adds the flags to a command.
func Bind(set *pflag.FlagSet) *Flags {
	f := &Flags{set: set}
	for _, s := range table {
		set.StringVar(s.field(&f.values), s.flag, "", s.help+" ["+s.env+"]")
	}
	set.StringVar(&f.config, "config", "", "YAML file with these settings [ASHLINE_CONFIG]")
	return f
}

// Resolve puts flags over environment over file.
func (f *Flags) Resolve(lookup func(string) (string, bool)) (Settings, error) {
	var out Settings
	path := f.config
	if v, ok := lookup("ASHLINE_CONFIG"); ok && path == "" {
		path = v
	}
	if path != "" {
		raw, err := os.ReadFile(path)
		if err != nil {
			return Settings{}, fmt.Errorf("%w: --config: %w", ErrUsage, err)
		}
		if err := yaml.UnmarshalWithOptions(raw, &out, yaml.Strict()); err != nil {
			line, _, _ := strings.Cut(err.Error(), "\n")
			return Settings{}, fmt.Errorf("%w: --config %q: %s", ErrUsage, path, line)
		}
	}
	for _, s := range table {
		if v, ok := lookup(s.env); ok && v != "" {
			*s.field(&out) = v
		}
		if f.set.Changed(s.flag) {
			*s.field(&out) = *s.field(&f.values)
		}
	}
	if out.Bucket == "" {
		out.Bucket = DefaultBucket
	}
	if err := job.CheckBucket(out.Bucket); err != nil {
		return Settings{}, fmt.Errorf("%w: --bucket %q is not a bucket's name", ErrUsage, out.Bucket)
	}
	return out, nil
}

// OpenQueue connects to the queue and sets it up where that is allowed.
func (s Settings) OpenQueue(ctx context.Context, name string, log *slog.Logger) (*queue.Queue, error) {
	q, err := s.DialQueue(ctx, name, log)
	if err != nil {
		return nil, err
	}
	if err := q.Ensure(ctx); err != nil {
		q.Close()
		return nil, err
	}
	return q, nil
}

// DialQueue connects to the queue and asks it nothing, for an account that may
// do no more than submit.
func (s Settings) DialQueue(ctx context.Context, name string, log *slog.Logger) (*queue.Queue, error) {
	if s.QueueURL == "" {
		return nil, fmt.Errorf("%w: --queue (or ASHLINE_QUEUE_URL) is required", ErrUsage)
	}
	for flag, file := range map[string]string{"queue-seed-file": s.QueueSeedFile, "queue-creds-file": s.QueueCredsFile} {
		if file == "" {
			continue
		}
		if _, err := readSecret(flag, file); err != nil {
			return nil, err
		}
	}
	return queue.Open(ctx, queue.Config{
		URL: s.QueueURL, SeedFile: s.QueueSeedFile, CredsFile: s.QueueCredsFile, CAFile: s.QueueCAFile, Inbox: s.QueueInbox, Name: name, Log: log,
	})
}

// OpenStore connects to the store and makes the bucket unless it is there. An
// account that may not ask for the bucket goes on: its first request will tell.
func (s Settings) OpenStore(ctx context.Context) (*store.Store, error) {
	if s.StoreURL == "" {
		return nil, fmt.Errorf("%w: --store (or ASHLINE_STORE_URL) is required", ErrUsage)
	}
	var secret string
	if s.StoreSecretFile != "" {
		var err error
		if secret, err = readSecret("store-secret-file", s.StoreSecretFile); err != nil {
			return nil, err
		}
	}
	st, err := store.New(store.Config{URL: s.StoreURL, Access: s.StoreAccess, Secret: secret, CAFile: s.StoreCAFile, Region: s.StoreRegion})
	if err != nil {
		return nil, fmt.Errorf("%w: --store: %w", ErrUsage, err)
	}
	if err := st.EnsureBucket(ctx, s.Bucket); err != nil && !errors.Is(err, job.ErrDenied) {
		st.Close()
		return nil, err
	}
	return st, nil
}

// SavedName is the file that Save writes.
const SavedName = "ashline.yaml"

// Save writes the settings into a folder, to be read with --config.
func (s Settings) Save(dir string) (file string, err error) {
	raw, err := yaml.Marshal(s)
	if err != nil {
		return "", fmt.Errorf("settings: %w", err)
	}
	file = filepath.Join(dir, SavedName)
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		return "", fmt.Errorf("settings: %w", err)
	}
	return file, nil
}
