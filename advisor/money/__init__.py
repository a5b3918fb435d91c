"""money"""
