"""codes"""
