package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path"
	"slices"
	"strings"
	"time"
)

// file is one file to be packed.
type file struct {
	name string
	mode int64
	data []byte
}

// tarOf packs files, with their folders before them.
func tarOf(files []file, when time.Time) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(z)
	dirs := map[string]bool{"./": true, ".": true}
	put := func(h *tar.Header, data []byte) error {
		h.ModTime, h.Format, h.Uname, h.Gname = when, tar.FormatUSTAR, "root", "root"
		if err := w.WriteHeader(h); err != nil {
			return err
		}
		_, err := w.Write(data)
		return err
	}
	for _, f := range files {
		var up []string
		for d := path.Dir(f.name); !dirs[d+"/"] && !dirs[d]; d = path.Dir(d) {
			dirs[d+"/"] = true
			up = append(up, d)
		}
		slices.Reverse(up)
		for _, d := range up {
			if !strings.HasPrefix(d, ".") {
				d = "./" + d
			}
			if err := put(&tar.Header{Typeflag: tar.TypeDir, Name: d + "/", Mode: 0o755}, nil); err != nil {
				return nil, err
			}
		}
		if err := put(&tar.Header{Typeflag: tar.TypeReg, Name: f.name, Mode: f.mode, Size: int64(len(f.data))}, f.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func writeTar(name, base string, files []file, when time.Time) error {
	var in []file
	for _, f := range files {
		in = append(in, file{"./" + base + "/" + f.name, f.mode, f.data})
	}
	raw, err := tarOf(in, when)
	if err != nil {
		return err
	}
	return os.WriteFile(name, raw, 0o644)
}

func writeZip(name, base string, files []file, when time.Time) error {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: base + "/" + f.name, Method: zip.Deflate, Modified: when})
		if err != nil {
			return err
		}
		if _, err := io.Copy(w, bytes.NewReader(f.data)); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}
