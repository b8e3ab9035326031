"""Kinds of equipment: conversion."""
