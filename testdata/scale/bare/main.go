// Bare does what no program of this kind can do without, and nothing else: the baseline
// that rimegate's times are held against.
package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	"github.com/urfave/cli/v2"
	"go.etcd.io/bbolt"
)

func main() {
	app := &cli.App{
		Name: "bare", Version: "1",
		Commands: []*cli.Command{
			{Name: "scan", Usage: "read and hash each value of a journal", Action: scan},
			{Name: "put", Usage: "open, put, commit, close", Action: put},
			{Name: "insert", Usage: "insert each line of a file in one transaction", Action: insert},
			{Name: "csv", Usage: "read a file of CSV, a time and a number of each row", Action: readCSV},
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

func insert(c *cli.Context) error {
	text, err := os.ReadFile(c.Args().Get(1))
	if err != nil {
		return err
	}
	db, err := bbolt.Open(c.Args().First(), 0o600, nil)
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		b, err := tx.CreateBucketIfNotExists([]byte("b"))
		if err != nil {
			return err
		}
		n := 0
		for line := range bytes.Lines(text) {
			n++
			if err := b.Put(fmt.Appendf(nil, "%08d", n), line); err != nil {
				return err
			}
		}
		return nil
	})
	return errors.Join(err, db.Close())
}

func readCSV(c *cli.Context) error {
	in, err := os.Open(c.Args().First())
	if err != nil {
		return err
	}
	defer in.Close()
	r := csv.NewReader(bufio.NewReaderSize(in, 1<<20))
	r.ReuseRecord = true
	if _, err := r.Read(); err != nil {
		return err
	}
	for n, sum := 0, 0.0; ; n++ {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			fmt.Println(n, "rows", sum)
			return nil
		}
		if err != nil {
			return err
		}
		_, wrong := time.Parse("2006-01-02 15:04", cells[0])
		v, wrong2 := strconv.ParseFloat(cells[1], 64)
		if err := errors.Join(wrong, wrong2); err != nil {
			return err
		}
		sum += v
	}
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
