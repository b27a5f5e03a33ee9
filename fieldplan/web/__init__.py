"""The planning page: fields drawn or dropped, a job filled in, the answer beside them, in a browser on this machine."""
