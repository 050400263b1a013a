"""Prints how many bytes a second one core writes into a large array, the best of five."""

import json
import time

import numpy

block = numpy.zeros(2**27, numpy.uint8)
spent = []
for value in range(5):
    began = time.perf_counter()
    block.fill(value)
    spent.append(time.perf_counter() - began)
print(json.dumps({"bytes_per_second": block.nbytes / min(spent)}))
