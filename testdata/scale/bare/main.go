// Bare does what no program of this kind can do without, and nothing else: the baseline
// that rimegate's times are held against.
package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"

	"github.com/urfave/cli/v2"
	"go.etcd.io/bbolt"
)

func main() {
	app := &cli.App{
		Name: "bare", Version: "1",
		Commands: []*cli.Command{
			{Name: "scan", Usage: "read and hash each value of a journal", Action: scan},
			{Name: "put", Usage: "open, put, commit, close", Action: put},
		},
	}
	if err := app.Run(os.Args); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func scan(c *cli.Context) error {
	db, err := bbolt.Open(c.Args().First(), 0o600, &bbolt.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	sum, n := sha256.New(), 0
	err = db.View(func(tx *bbolt.Tx) error {
		return tx.ForEach(func(_ []byte, b *bbolt.Bucket) error {
			return b.ForEach(func(k, v []byte) error {
				n++
				sum.Write(k)
				sum.Write(v)
				return nil
			})
		})
	})
	fmt.Printf("%d values %x\n", n, sum.Sum(nil))
	return errors.Join(err, db.Close())
}

func put(c *cli.Context) error {
	db, err := bbolt.Open(c.Args().First(), 0o600, nil)
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		b, err := tx.CreateBucketIfNotExists([]byte("b"))
		if err != nil {
			return err
		}
		n, err := b.NextSequence()
		if err != nil {
			return err
		}
		return b.Put(fmt.Append(nil, n), []byte("a frost"))
	})
	return errors.Join(err, db.Close())
}
