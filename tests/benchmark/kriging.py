"""Ordinary kriging of a board's readings, without any physics: what a field model must at least be as good as.
A Matern covariance of order 3/2; its length and the readings' share of noise by maximum likelihood over a grid,
mean and size in closed form (Cressie, Statistics for Spatial Data, ordinary kriging). Needs numpy."""
import csv
import math

import numpy

LENGTHS_MM = numpy.geomspace(8, 250, 22)
NUGGETS = numpy.geomspace(1e-3, 1, 13)  # variance of the noise over that of the field


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(file))


def matern(away_mm, length_mm):
    scaled = math.sqrt(3) * away_mm / length_mm
    return (1 + scaled) * numpy.exp(-scaled)


def distances(some, others):
    return numpy.hypot(some[:, None, 0] - others[None, :, 0], some[:, None, 1] - others[None, :, 1])


class Field:
    """Fitted to places (n x 2, mm) and values; `at` answers means and standard deviations without noise."""

    def __init__(self, places, values):
        self.places, self.values = numpy.asarray(places, float), numpy.asarray(values, float)
        apart = distances(self.places, self.places)
        best = -math.inf
        for length_mm in LENGTHS_MM:
            correlation = matern(apart, length_mm)
            for nugget in NUGGETS:
                likelihood = self._try(correlation + nugget * numpy.eye(len(self.values)))
                if likelihood > best:
                    best, self.length_mm, self.nugget = likelihood, length_mm, nugget
        self._try(matern(apart, self.length_mm) + self.nugget * numpy.eye(len(self.values)))

    def _try(self, covariance):
        count = len(self.values)
        lower = numpy.linalg.cholesky(covariance)
        self.inverse = numpy.linalg.inv(covariance)
        self.weight = self.inverse.sum()
        self.mean = self.inverse.sum(axis=0) @ self.values / self.weight
        self.off = self.values - self.mean
        self.variance = max(self.off @ self.inverse @ self.off / count, 1e-12)
        return -0.5 * count * math.log(self.variance) - numpy.log(numpy.diag(lower)).sum()

    def at(self, places):
        near = matern(distances(numpy.asarray(places, float), self.places), self.length_mm)
        means = self.mean + near @ self.inverse @ self.off
        short = 1 - near @ self.inverse.sum(axis=0)
        left = 1 - numpy.einsum('ij,jk,ik->i', near, self.inverse, near) + short ** 2 / self.weight
        return means, numpy.sqrt(self.variance * numpy.maximum(left, 0))


def parts_told(board):
    """Temperature in service and its standard deviation of each part of a job folder, by its ref. Readings on a
    source's body are left out, as they are no temperature of the board."""
    keys = {row['key']: row['value'] for row in rows_of(board / 'board.csv')}
    readings = [row for row in rows_of(board / 'readings.csv') if row.get('spot') != 'source']
    field = Field([(float(row['x_mm']), float(row['y_mm'])) for row in readings],
                  [float(row['value']) - float(keys['ambient']) for row in readings])
    parts = rows_of(board / 'parts.csv')
    means, deviations = field.at([(float(row['x_mm']), float(row['y_mm'])) for row in parts])
    return {row['ref']: (float(keys['service_ambient']) + mean, deviation)
            for row, mean, deviation in zip(parts, means, deviations)}
