"""Serves a folder with range requests: range_server.py FOLDER LOG. Prints its port; LOG gets one line "METHOD path bytes" for each answer."""
import email.utils
import http.server
import os
import pathlib
import re
import sys

FOLDER, LOG = pathlib.Path(sys.argv[1]), sys.argv[2]


class Handler(http.server.BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def answer(self, with_body):
        file = FOLDER / self.path.lstrip("/")
        if not file.is_file():
            self.send_response(404)
            self.send_header("Content-Length", "0")
            self.end_headers()
            return self.note(0)
        size, status = file.stat().st_size, 200
        first, last = 0, size - 1
        wanted = re.fullmatch(r"bytes=(\d+)-(\d*)", self.headers.get("Range", ""))
        if wanted:
            first, status = int(wanted[1]), 206
            last = min(last, int(wanted[2])) if wanted[2] else last
        if first > last:
            self.send_response(416)
            self.send_header("Content-Length", "0")
            self.end_headers()
            return self.note(0)
        self.send_response(status)
        self.send_header("Accept-Ranges", "bytes")
        self.send_header("Content-Length", str(last - first + 1))
        self.send_header("Last-Modified", email.utils.formatdate(file.stat().st_mtime, usegmt=True))
        self.send_header("ETag", f'"{file.stat().st_mtime_ns:x}-{size:x}"')
        if status == 206:
            self.send_header("Content-Range", f"bytes {first}-{last}/{size}")
        self.end_headers()
        if with_body:
            with open(file, "rb") as data:
                data.seek(first)
                self.wfile.write(data.read(last - first + 1))
        return self.note(last - first + 1 if with_body else 0)

    def note(self, count):
        with open(LOG, "a", encoding="utf-8") as log:
            log.write(f"{self.command} {self.path} {count}\n")

    def do_GET(self):
        self.answer(True)

    def do_HEAD(self):
        self.answer(False)

    def log_message(self, *_):
        pass


def main():
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    print(server.server_address[1], flush=True)
    # Ends with the program that started it: its end of standard input closes.
    import threading

    threading.Thread(target=lambda: (sys.stdin.read(), os._exit(0)), daemon=True).start()
    server.serve_forever()


if __name__ == "__main__":
    main()
